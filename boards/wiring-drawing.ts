/**
 * The wiring of a board, drawn from its `board.json`: every pin that is used,
 * the part it goes to, and how one output's circuit is made.
 *
 * Always holds: pins come from the board's own data, so that drawing, firmware
 * and compiler cannot differ; low voltage only — no mains wire is drawn.
 */

import type { Board } from '../shared/board.ts';

/** One wire from a pin of the chip's board to a part. */
export interface Wire {
  readonly pin: string;
  readonly part: string;
  readonly note: string;
}

/** All wires of a board, outputs first. */
export function wiresOf(board: Board): Wire[] {
  const outputs = board.outputs.map(({ pin, kind, active }, at): Wire => {
    if (kind === 'relay')
      return {
        pin,
        part: `relay module, input ${at + 1}`,
        note: `output ${at + 1}, on when the pin is ${active}`,
      };
    const way = kind === 'dim' ? 'PWM' : 'on or off';
    return {
      pin,
      part: `MOSFET ${at + 1}, gate`,
      note: `output ${at + 1}, ${way}, on when ${active}; 150 Ω in series, 10 kΩ to ground`,
    };
  });
  const { tick, buzzer, probe, indicator, button, direction } = board.pins;
  return [
    ...outputs,
    {
      pin: 'A4',
      part: 'battery clock and log memory, SDA',
      note: 'two-wire bus; most modules bring their own pull-ups',
    },
    { pin: 'A5', part: 'battery clock and log memory, SCL', note: 'two-wire bus' },
    { pin: tick, part: 'battery clock, square wave', note: 'one tick a second' },
    { pin: probe, part: 'temperature probe, data', note: '4.7 kΩ to 5 V' },
    { pin: buzzer, part: 'buzzer', note: 'active, other side to ground' },
    { pin: indicator, part: 'indicator', note: 'most boards have one on this pin' },
    { pin: button, part: 'push button', note: 'other side to ground' },
    { pin: direction, part: 'RS-485 transceiver, direction (if used)', note: '10 kΩ to ground' },
    {
      pin: 'D0, D1',
      part: 'USB, or the RS-485 transceiver',
      note: 'one at a time: unplug the transceiver while loading firmware or using USB',
    },
    {
      pin: '5V, GND',
      part: 'battery clock and log memory, VCC and GND',
      note: 'from the same 5 V as the chip',
    },
    {
      pin: '5V, GND',
      part: 'temperature probe, supply and ground',
      note: 'three wires: not fed through its data wire',
    },
  ];
}

/** The wires as a Markdown table. */
export function wireTable(board: Board): string {
  const rows = wiresOf(board).map(({ pin, part, note }) => `| ${pin} | ${part} | ${note} |`);
  return ['| pin | goes to | note |', '|---|---|---|', ...rows].join('\n');
}

const ROW = 30;
const TOP = 70;
const WIDTH = 1120;
const CHIP = { x: 40, width: 170 };
const PART_X = 470;

/** The drawing as an SVG file. */
export function wiringDrawing(board: Board): string {
  const wires = wiresOf(board);
  const bottom = TOP + wires.length * ROW + 40;
  const relays = board.outputs.some(({ kind }) => kind === 'relay');
  const mosfets = board.outputs.some(({ kind }) => kind !== 'relay');
  const insets = [...(mosfets ? [mosfetInset] : []), ...(relays ? [relayInset] : [])];
  const height = bottom + insets.length * 190 + 20;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" font-family="sans-serif" font-size="14" role="img" aria-label="Wiring of ${board.id}">
<rect width="${WIDTH}" height="${height}" fill="#fdfcf8"/>
<text x="40" y="34" font-size="18">${board.id}: wiring</text>
<rect x="${CHIP.x}" y="${TOP - 22}" width="${CHIP.width}" height="${wires.length * ROW + 34}" rx="8" fill="#e8eef0" stroke="#2b2a27"/>
<text x="${CHIP.x + 12}" y="${TOP}" fill="#6d6a62">ATmega328P board</text>
${wires.map((wire, at) => wireRow(wire, TOP + 24 + at * ROW)).join('\n')}
${insets.map((inset, at) => inset(bottom + 10 + at * 190)).join('\n')}
</svg>
`;
}

function wireRow({ pin, part, note }: Wire, y: number): string {
  const right = CHIP.x + CHIP.width;
  return `<g><text x="${right - 12}" y="${y + 5}" text-anchor="end">${pin}</text><circle cx="${right}" cy="${y}" r="4"/>
<line x1="${right}" y1="${y}" x2="${PART_X}" y2="${y}" stroke="#2b2a27"/><circle cx="${PART_X}" cy="${y}" r="4"/>
<text x="${PART_X + 12}" y="${y + 1}">${part}</text><text x="${PART_X + 12}" y="${y + 13}" font-size="11" fill="#6d6a62">${note}</text></g>`;
}

/** One low-voltage output: supply, fuse, lamp, MOSFET, common ground. */
function mosfetInset(y: number): string {
  return `<g transform="translate(40 ${y})"><text x="0" y="16" font-size="15">One low-voltage output</text>
<rect x="0" y="40" width="120" height="60" fill="none" stroke="#2b2a27"/><text x="60" y="66" text-anchor="middle">lamp supply</text><text x="60" y="86" text-anchor="middle" font-size="12" fill="#6d6a62">12 or 24 V</text>
<line x1="120" y1="52" x2="180" y2="52" stroke="#a8442a" stroke-width="2"/><rect x="180" y="44" width="60" height="16" fill="none" stroke="#2b2a27"/><text x="210" y="38" text-anchor="middle" font-size="12">fuse</text>
<line x1="240" y1="52" x2="320" y2="52" stroke="#a8442a" stroke-width="2"/><rect x="320" y="36" width="110" height="32" rx="6" fill="#f3e3b8" stroke="#2b2a27"/><text x="375" y="57" text-anchor="middle">lamp + −</text>
<line x1="430" y1="52" x2="520" y2="52" stroke="#2b2a27" stroke-width="2"/><text x="470" y="44" text-anchor="middle" font-size="12">drain</text>
<rect x="520" y="36" width="110" height="64" rx="6" fill="#e8eef0" stroke="#2b2a27"/><text x="575" y="62" text-anchor="middle">N-MOSFET</text><text x="575" y="80" text-anchor="middle" font-size="12" fill="#6d6a62">logic level</text>
<line x1="630" y1="52" x2="800" y2="52" stroke="#2b2a27"/><text x="640" y="44" font-size="12">gate</text><text x="715" y="44" text-anchor="middle" font-size="12">150 Ω</text><text x="806" y="57">pin</text>
<line x1="680" y1="52" x2="680" y2="140" stroke="#2b2a27"/><text x="688" y="100" font-size="12">10 kΩ</text>
<line x1="575" y1="100" x2="575" y2="140" stroke="#2b2a27"/><text x="583" y="124" font-size="12">source</text>
<line x1="60" y1="100" x2="60" y2="140" stroke="#2b2a27"/><line x1="60" y1="140" x2="800" y2="140" stroke="#2b2a27"/><text x="806" y="145">ground, common with the chip's</text></g>`;
}

/** One relay input; the contact's side is left to whoever is licensed for it. */
function relayInset(y: number): string {
  return `<g transform="translate(40 ${y})"><text x="0" y="16" font-size="15">Relay module and its own coil supply</text>
<rect x="0" y="40" width="150" height="90" fill="none" stroke="#2b2a27"/><text x="75" y="70" text-anchor="middle">coil supply</text><text x="75" y="90" text-anchor="middle" font-size="12" fill="#6d6a62">5 V, see the parts</text>
<line x1="150" y1="56" x2="330" y2="56" stroke="#a8442a" stroke-width="2"/><text x="240" y="48" text-anchor="middle" font-size="12">coil supply +</text>
<line x1="150" y1="112" x2="330" y2="112" stroke="#2b2a27" stroke-width="2"/><text x="240" y="104" text-anchor="middle" font-size="12">ground</text>
<rect x="330" y="40" width="190" height="90" rx="6" fill="#e8eef0" stroke="#2b2a27"/><text x="425" y="72" text-anchor="middle">relay module</text><text x="425" y="92" text-anchor="middle" font-size="12" fill="#6d6a62">inputs on when low</text>
<line x1="520" y1="72" x2="640" y2="72" stroke="#2b2a27"/><text x="648" y="77">pins of the outputs, and 5 V and ground of the chip's board</text>
<line x1="520" y1="112" x2="640" y2="112" stroke="#a8442a" stroke-dasharray="6 5"/><text x="648" y="117" fill="#a8442a">contacts: lamp circuit, see the caution</text></g>`;
}

/**
 * A board's wiring as a drawing, from its `board.json`: the chip's board in
 * the middle, what is wired to it on both sides.
 *
 * Always holds: the drawing names every pin that the firmware uses, once.
 */

import type { Board } from '../../shared/board.ts';

interface Wire {
  readonly pin: string;
  readonly part: string;
  readonly note: string;
}

const WIDTH = 900;
const ROW = 34;
const TOP = 96;
const BOX = { left: 350, width: 200 } as const;
const SIDE = { left: 20, width: 230 } as const;

function outputWire(output: Board['outputs'][number], index: number): Wire {
  const number = index + 1;
  if (output.kind === 'relay')
    return { pin: output.pin, part: `relay ${number}`, note: `input, active ${output.active}` };
  if (output.kind === 'dim') {
    return { pin: output.pin, part: `dimmed output ${number}`, note: 'PWM; 10 kΩ down to GND' };
  }
  return { pin: output.pin, part: `switched output ${number}`, note: 'MOSFET gate; 10 kΩ down to GND' };
}

/** What else is wired: the same on every board. */
function partWires({ pins }: Board): Wire[] {
  return [
    { pin: pins.tick, part: 'battery clock SQW', note: '1 Hz, open drain' },
    { pin: 'A4', part: 'battery clock SDA', note: 'with its 4 KB EEPROM' },
    { pin: 'A5', part: 'battery clock SCL', note: '4.7 kΩ pull-ups' },
    { pin: pins.probe, part: 'temperature probe', note: '1-wire, 4.7 kΩ up to 5 V' },
    { pin: pins.button, part: 'button', note: 'to GND' },
    { pin: pins.buzzer, part: 'buzzer', note: 'active type, to GND' },
    { pin: pins.indicator, part: 'indicator', note: 'the board’s own lamp' },
    { pin: pins.direction, part: 'RS-485 direction', note: 'DE and RE; 10 kΩ down' },
    { pin: 'D0', part: 'serial receive', note: 'USB, or RS-485 RO' },
    { pin: 'D1', part: 'serial send', note: 'USB, or RS-485 DI' },
  ];
}

const text = (x: number, y: number, words: string, attributes = ''): string =>
  `<text x="${x}" y="${y}"${attributes}>${words}</text>`;

function wireRow(wire: Wire, row: number, right: boolean): string {
  const y = TOP + row * ROW;
  const boxX = right ? WIDTH - SIDE.left - SIDE.width : SIDE.left;
  const from = right ? BOX.left + BOX.width : SIDE.left + SIDE.width;
  const to = right ? boxX : BOX.left;
  const pinX = right ? BOX.left + BOX.width - 8 : BOX.left + 8;
  return [
    `<rect x="${boxX}" y="${y - 14}" width="${SIDE.width}" height="28" rx="4"/>`,
    text(boxX + 8, y - 2, wire.part),
    text(boxX + 8, y + 10, wire.note, ' class="note"'),
    `<line x1="${from}" y1="${y}" x2="${to}" y2="${y}"/>`,
    text(pinX, y + 4, wire.pin, ` class="pin"${right ? ' text-anchor="end"' : ''}`),
  ].join('\n  ');
}

const STYLE = [
  'text { font: 13px sans-serif; fill: #222 }',
  '.note { font-size: 10px; fill: #555 }',
  '.pin { font: bold 12px monospace }',
  'rect { fill: #f6f6f2; stroke: #444 }',
  'line { stroke: #444; stroke-width: 1.5 }',
  '.title { font: bold 16px sans-serif }',
].join(' ');

/** The drawing as SVG text. */
export function wiringSvg(board: Board): string {
  const left = partWires(board);
  const right = board.outputs.map(outputWire);
  const rows = Math.max(left.length, right.length);
  const height = TOP + rows * ROW + 60;
  const coils = board.limits.coilAmperes;
  const supply = coils
    ? `Relay coils: own 5 V supply, ${(coils * right.length).toFixed(2)} A and more; GND joined. Not from USB.`
    : 'Lamps: own low-voltage supply; GND joined.';
  return `${[
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="Wiring of ${board.id}">`,
    `<style>${STYLE}</style>`,
    '<rect x="0" y="0" width="100%" height="100%" style="fill:#fff;stroke:none"/>',
    text(20, 32, `${board.id}: ${board.title}`, ' class="title"'),
    text(
      20,
      54,
      'Signals only; 5 V and GND go to every part. Mains side: see the cautions in the notes.',
      ' class="note"',
    ),
    `<rect x="${BOX.left}" y="${TOP - 26}" width="${BOX.width}" height="${rows * ROW + 20}" rx="6"/>`,
    text(
      BOX.left + 100,
      TOP - 32,
      'board with ATmega328P, 16 MHz, 5 V',
      ' class="note" text-anchor="middle"',
    ),
    ...left.map((wire, row) => wireRow(wire, row, false)),
    ...right.map((wire, row) => wireRow(wire, row, true)),
    text(20, height - 22, supply, ' class="note"'),
    '</svg>',
  ].join('\n')}\n`;
}

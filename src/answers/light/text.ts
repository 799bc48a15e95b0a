/**
 * The light report as the terminal shows it: figures zone by zone, lamps, and the rack
 * from above with the pull of each zone.
 *
 * Always holds: plain text without colour; a drawing is never wider than 76 columns.
 */

import { FLUX_LABEL } from '../../../compiler/advice/bands.ts';
import type {
  LeanDay,
  LightReport,
  OutputReport,
  ShelfDrawing,
  ZoneReport,
} from '../../../compiler/advice/light-report.ts';
import type { StageReport } from '../../../compiler/advice/stage-report.ts';
import { LUX_PER_MICROMOLE } from '../../../compiler/light/photons.ts';
import { HEIGHTS } from '../../../compiler/steer/heights.ts';
import { itemAt } from '../../../shared/assert.ts';
import { roughSize, type Units } from '../../../shared/measures.ts';
import { sideWord } from '../../words/sides.ts';
import { lampLines } from './why-text.ts';

/** The whole report. */
export function lightText(report: LightReport): string {
  return [
    report.title,
    '',
    ...report.zones.flatMap((zone) => zoneLines(zone, report.units)),
    ...outputLines(report.outputs, report.kWh),
    '',
    drawRack(report),
    '',
    ...columnLines(report),
  ].join('\n');
}

/** What the columns mean. */
export function columnLines(report: LightReport): string[] {
  return [
    `Level: on a small surface turned to the strongest side, through the film; worst bag. A narrow bag in wet film may get a quarter less (its range counts that). Dark is taken as at most ${report.darkMost} lx.`,
    'Low, mid, top: in the lowest fifth of the headspace, where growth starts, in its middle and at its top.',
    'Off and pull: toward the light. Contrast: lit face over the opposite one. Ratio: illumination vector over scalar illuminance.',
    `May miss: met by these figures, not at every end of what is left open: each lamp's flux to ${Math.round(100 * (FLUX_LABEL[1] - 1))} %, film wet or dry (or as written to 5 %), how it scatters, density.`,
    `Photons: ${report.luxPerMicromole} lx for one µmol m⁻² s⁻¹ (${report.luxPerMicromole === LUX_PER_MICROMOLE ? 'assumed; white lamps range from 53 to 73' : 'as given'}).`,
  ];
}

function zoneLines(zone: ZoneReport, units: Units): string[] {
  return [`Zone ${zone.zone} (shelf ${zone.shelf}), batch ${zone.batch}`, ...zoneFacts(zone, units), ''];
}

/** All that is said of a zone, but for which it is. */
export function zoneFacts(zone: ZoneReport, units: Units): string[] {
  const header = [
    'stage',
    'from',
    'days',
    'asks',
    'min/mean/max lx',
    'low/mid/top lx',
    'off',
    'contrast',
    'ratio',
    'elev',
    'lx·h/d',
    'mol/d',
    '',
  ];
  const rows = zone.stages.map(stageCells);
  return [
    ...align([header, ...rows]).map((line) => `  ${line}`),
    ...lampLines(zone.stages, zone.darkStages).map((line) => `  ${line}`),
    ...leanLines(zone, units),
  ];
}

function stageCells(stage: StageReport): string[] {
  const { level, asks } = stage;
  const whole = (value: number): string => String(Math.round(value));
  const lit = asks !== 'dark';
  return [
    stage.stage,
    stage.from,
    String(stage.days),
    typeof asks === 'number' ? sideWord(asks) : asks,
    `${whole(level.min)}/${whole(lit ? level.mean : level.brightest)}/${whole(level.max)}`,
    lit ? HEIGHTS.map((height) => whole(stage.heights[height].level)).join('/') : '-',
    stage.off === undefined ? '-' : `${stage.off.toFixed(1)}°`,
    lit ? `${(stage.contrast ?? stage.balance).toFixed(2)} : 1` : '-',
    stage.vectorScalar.toFixed(2),
    `${whole(stage.elevation)}°`,
    whole(stage.luxHoursPerDay),
    stage.molPerDay.toFixed(2),
    verdictWords(stage),
  ];
}

function verdictWords({ met, mayMiss }: StageReport): string {
  if (!met) return 'not met';
  return mayMiss.length === 0 ? '' : `may miss: ${mayMiss.join(', ')}`;
}

function leanLines({ likelyLean }: ZoneReport, units: Units): string[] {
  if (likelyLean === undefined) return [];
  const { days, filmDay, filmEarliest, toward, swing, from } = likelyLean;
  const lines = [`  Likely lean from ${from} (an estimate; measure your own):`];
  const last = days.at(-1);
  if (last !== undefined)
    lines.push(...days.filter((_, n) => n < 2 || n === days.length - 1).map((day) => leanLine(day, units)));
  if (toward !== undefined && swing !== undefined && Math.abs(swing.drift) >= 5) {
    const better = Math.abs(swing.halved) < Math.abs(swing.drift) / 2;
    const halved = roughSize(swing.halved, units);
    const rest = /^0 /.test(halved) ? 'it would hardly drift' : `about ${halved}`;
    const offer = better ? `; with a first turn of half the length ${rest}` : '';
    lines.push(
      `    the swing drifts about ${roughSize(swing.drift, units)} toward its first side, ${sideWord(toward)}${offer}`,
    );
  }
  if (filmDay !== undefined) lines.push(`    meets the film about day ${filmDay}`);
  else if (filmEarliest !== undefined)
    lines.push(`    at the earliest meets the film about day ${filmEarliest}`);
  lines.push(`    ${edgeWords(likelyLean)}`);
  return lines;
}

/** Why lifts come before the day on which the estimate meets the film. */
export function edgeWords({ lifts }: Pick<NonNullable<ZoneReport['likelyLean']>, 'lifts'>): string {
  const edge = 'counted from the middle of the block; growth at its edge touches the film within days';
  if (lifts === undefined) return `${edge}, and the plan has no lifts`;
  return `${edge}, so lifts begin in ${lifts.stage}, ${lifts.from}; lift sooner where you see film touched`;
}

function leanLine({ day, angle, angleLow, angleHigh, drift }: LeanDay, units: Units): string {
  return `    day ${day}: ${Math.round(angle)}° from upright (${Math.round(angleLow)}–${Math.round(angleHigh)}°), tip ${roughSize(drift, units)} along`;
}

function outputLines(outputs: readonly OutputReport[], kWh: number): string[] {
  const rows = outputs.map((output) => [
    `${output.controller}/${output.output}`,
    output.lamps.join(', '),
    `${output.watts} W`,
    `${output.hours.toFixed(0)} h`,
    `${output.kWh.toFixed(2)} kWh`,
  ]);
  return [...align(rows), energyWords(outputs, kWh)];
}

/** What all lamps use. */
export function energyWords(outputs: readonly OutputReport[], kWh: number): string {
  if (outputs.length === 0) return 'The plan has no lamps.';
  const all = outputs.reduce((sum, output) => sum + output.watts, 0);
  if (all === 0) return 'The plan gives no lamp its power, so the energy is not known.';
  return `All lamps together ${all} W; ${kWh.toFixed(2)} kWh over the grow.`;
}

/** Columns of equal width, left aligned. */
function align(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((row) => itemAt(row, column).length)),
  );
  return rows.map((row) =>
    row
      .map((cell, column) => cell.padEnd(itemAt(widths, column)))
      .join('  ')
      .trimEnd(),
  );
}

/** Columns of a drawing, and how much higher than wide a terminal's cell is. */
const COLUMNS = 72;
const CELL_RATIO = 2;

/** The shelves from above, back at the top, each zone with an arrow toward the side its longest lean pulls. */
export function drawRack(report: LightReport): string {
  return report.shelves.map((shelf) => drawShelf(shelf, report.zones)).join('\n');
}

function drawShelf(shelf: ShelfDrawing, zones: readonly ZoneReport[]): string {
  const rows = Math.max(5, Math.round((COLUMNS * shelf.depth) / shelf.width / CELL_RATIO));
  const canvas = Array.from({ length: rows }, () => Array.from({ length: COLUMNS }, () => ' '));
  const column = (x: number): number => clamp(Math.round((x / shelf.width) * (COLUMNS - 1)), COLUMNS);
  const row = (y: number): number => clamp(Math.round((1 - y / shelf.depth) * (rows - 1)), rows);
  const fill = (x: readonly [number, number], y: readonly [number, number], mark: string): void => {
    for (let r = row(y[1]); r <= row(y[0]); r++)
      for (let c = column(x[0]); c <= column(x[1]); c++) itemAt(canvas, r)[c] = mark;
  };
  const write = (x: number, y: number, text: string): void => {
    const start = clamp(column(x) - Math.floor(text.length / 2), COLUMNS - text.length + 1);
    [...text].forEach((letter, n) => {
      itemAt(canvas, row(y))[start + n] = letter;
    });
  };
  for (const screen of shelf.screens) fill(screen.x, screen.y, '#');
  for (const lamp of shelf.lamps) fill(lamp.x, lamp.y, '=');
  for (const bag of shelf.bags) write(bag.x, bag.y, `[${bag.name}]`);
  for (const zone of shelf.zones) {
    const arrow = pullArrow(zones.find(({ zone: name }) => name === zone.name));
    // Toward the front of the zone, where it hides no bag.
    if (arrow !== '') write((zone.x[0] + zone.x[1]) / 2, zone.y[0] + (zone.y[1] - zone.y[0]) / 10, arrow);
  }
  const edge = `+${'-'.repeat(COLUMNS)}+`;
  return [
    `shelf ${shelf.name}, from above (back at the top, = lamp, # screen)`,
    edge,
    ...canvas.map((line) => `|${line.join('')}|`),
    edge,
  ].join('\n');
}

const clamp = (value: number, size: number): number => Math.max(0, Math.min(size - 1, value));

/** Arrows clockwise from the back, every 45°. */
const ARROWS = ['↑', '↗', '→', '↘', '↓', '↙', '←', '↖'];

/** `← 270 lx →` for what pulls a zone; both ways for a swing, `·` for upright. */
function pullArrow(zone: ZoneReport | undefined): string {
  const leans = zone?.stages.filter(({ asks }) => typeof asks === 'number') ?? [];
  if (leans.length === 0) return zone?.stages.some(({ asks }) => asks === 'upright') ? '· upright ·' : '';
  const longest = leans.filter(({ stage }) => stage === itemAt(leans, 0).stage);
  const arrows = [
    ...new Set(
      longest.map(({ pull }) =>
        itemAt(ARROWS, ((Math.round((Math.atan2(pull[0], pull[1]) * 4) / Math.PI) % 8) + 8) % 8),
      ),
    ),
  ];
  const size = Math.round(Math.max(...longest.map(({ pull }) => Math.hypot(pull[0], pull[1]))));
  return `${arrows.join(' ')} ${size} lx`;
}

/**
 * The card for the day a controller dies: which lamps, what hours, which side,
 * week by week, to be set on ordinary wall timers, and how to flash a spare.
 *
 * Always holds: hours are read from the schedule table itself, the one thing
 * the controller runs, in civil time; a dimmed lamp is given its level.
 */

import { lampsOfOutput } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedLamp, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { firstInstant, quartersAt, type ZoneOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { traceTable } from '../../../firmware-sim/schedule.ts';
import { itemAt } from '../../../shared/assert.ts';
import { clockTime, isoDate, ymdFromDay } from '../../../shared/civil.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import { html, type Markup, page } from '../../page/html.ts';

/** A stretch of light of one output on one day, minutes of the civil day (past 1440: into the next). */
export interface Stretch {
  readonly from: number;
  readonly until: number;
  /** 0–255. */
  readonly level: number;
}

/** Days in a row on which an output has the same hours. */
export interface TimerRow {
  readonly first: CivilDay;
  readonly last: CivilDay;
  readonly stretches: readonly Stretch[];
}

/** The timer settings of an output (1 the first) from `first` for `days` days. */
export function timerRows(
  bytes: Uint8Array,
  output: number,
  offsets: ZoneOffsets,
  first: CivilDay,
  days: number,
): TimerRow[] {
  const rows: TimerRow[] = [];
  for (let day = first as number; day < first + days; day++) {
    const stretches = dayStretches(bytes, output, offsets, day);
    const before = rows.at(-1);
    if (before && same(before.stretches, stretches))
      rows[rows.length - 1] = { ...before, last: civilDay(day) };
    else rows.push({ first: civilDay(day), last: civilDay(day), stretches });
  }
  return rows;
}

function same(a: readonly Stretch[], b: readonly Stretch[]): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** Light of an output from midnight to midnight, without its few seconds of stagger. */
function dayStretches(bytes: Uint8Array, output: number, offsets: ZoneOffsets, day: number): Stretch[] {
  const lag = output - 1;
  const begin = firstInstant(offsets, day, 0) + lag;
  const end = firstInstant(offsets, day + 1, 0) + lag;
  const minuteOf = (utc: number): number =>
    Math.round((utc - lag + 900 * quartersAt(offsets, utcSeconds(utc - lag)) - day * 86_400) / 60);
  const stretches: Stretch[] = [];
  let open: { from: number; level: number } | undefined;
  for (const { utc, levels } of traceTable(bytes, begin, end)) {
    const level = levels[output - 1] ?? 0;
    if (open && level === open.level) continue;
    if (open && open.level > 0) stretches.push({ ...open, until: minuteOf(utc) });
    open = { from: minuteOf(utc), level };
  }
  if (open && open.level > 0) stretches.push({ ...open, until: 1440 });
  return stretches;
}

/** What the card is made from: the table of each controller, in plan order. */
export interface CardInput {
  readonly plan: ResolvedPlan;
  readonly planFile: string;
  readonly tables: readonly Uint8Array[];
  readonly offsets: ZoneOffsets;
  readonly from: CivilDay;
  readonly until: CivilDay;
}

/** The HTML file. */
export function cardPage(input: CardInput): string {
  const { plan } = input;
  const sections = plan.controllers.map((_, controller) => controllerSection(input, controller));
  const title = `If a controller dies: ${plan.title}`;
  const range = `${isoDate(input.from)} to ${isoDate(civilDay(input.until - 1))}`;
  const when = html`<p>Valid ${range}. Until a spare runs, use one wall timer for each row; an output is off on all days and hours not named. Times are those of ${plan.timezone}.</p>`;
  return page(title, html`${when}${sections}${spare(input)}`, STYLE);
}

/** Small enough for a rack of eight outputs on one sheet. */
const STYLE = `
table { font-size: 0.85rem; }
h2 { margin-top: 1rem; }
td.runs span { display: inline-block; margin-right: 1.2em; white-space: nowrap; }
@media print { body { font-size: 9pt; } table { font-size: 8pt; } }
`;

function controllerSection(input: CardInput, controller: number): Markup {
  const { plan, tables } = input;
  const bytes = tables[controller];
  const { name, board } = itemAt(plan.controllers, controller);
  if (!bytes) return html``;
  const rows = board.outputs.map((_, i) => outputRow(input, controller, i + 1, bytes));
  return html`<h2>${name}</h2>
<table><thead><tr><th>output</th><th>lamps</th><th>light from</th><th>on</th></tr></thead>
<tbody>${rows}</tbody></table>`;
}

function outputRow(input: CardInput, controller: number, output: number, bytes: Uint8Array): Markup {
  const { plan, offsets, from, until } = input;
  const lamps = lampsOfOutput(plan, controller, output).map((lamp) => itemAt(plan.lamps, lamp));
  if (lamps.length === 0) return html``;
  const lit = timerRows(bytes, output, offsets, from, until - from).filter((row) => row.stretches.length > 0);
  const runs = lit.map((row) => html`<span>${daysOf(row)}: ${hoursOf(row.stretches)}</span> `);
  const sides = [...new Set(lamps.map((lamp) => sideOf(plan, lamp)))].join('; ');
  return html`<tr><td>${output}</td><td>${lamps.map((lamp) => lamp.name).join(', ')}</td><td>${sides}</td>
<td class="runs">${lit.length > 0 ? runs : 'off'}</td></tr>\n`;
}

/** `left of A`, or the way the lamp faces, for lamps placed by coordinates. */
function sideOf(plan: ResolvedPlan, lamp: ResolvedLamp): string {
  if (lamp.beside) return `${lamp.beside.side} of ${itemAt(plan.zones, lamp.beside.zone).name}`;
  const [x, y, z] = lamp.facing;
  const most = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
  if (most === Math.abs(z)) return z < 0 ? 'above' : 'below';
  if (most === Math.abs(x)) return x > 0 ? 'left' : 'right';
  return y > 0 ? 'front' : 'back';
}

/** `17 Apr – 19 Apr`. */
function daysOf(row: TimerRow): string {
  return row.first === row.last ? shortDay(row.first) : `${shortDay(row.first)} – ${shortDay(row.last)}`;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

function shortDay(civil: CivilDay): string {
  const { month, day } = ymdFromDay(civil);
  return `${day} ${MONTHS[month - 1]}`;
}

function hoursOf(stretches: readonly Stretch[]): string {
  return stretches
    .map(({ from, until, level }) => {
      const end = until === 1440 ? '24:00' : clockTime(until);
      const share = level === 255 ? '' : ` at ${Math.round((level / 255) * 100)} %`;
      return `${clockTime(from)}–${end}${share}`;
    })
    .join(', ');
}

function spare({ plan, planFile }: CardInput): Markup {
  const flash = plan.controllers.map(
    (controller) =>
      html`<li>${controller.name} (${controller.board.title}, unit ${controller.unit}): <code>leanward flash ${planFile} --controller ${controller.name} --port PORT</code></li>`,
  );
  return html`<h2>Putting in a spare</h2>
<ol><li>Unplug the rack. Fit a spare of the same board, with the lamps on the same outputs.</li>
<li>Read what the old one still has, if it answers: <code>leanward log ${planFile} --port PORT</code>.</li>
<li>Flash the spare; it carries on with the day it is: <ul>${flash}</ul></li>
<li>See that each lamp answers: <code>leanward lamps ${planFile} --port PORT</code>.</li></ol>
<p class="caution">Mains wiring: unplug before opening, and leave it to someone licensed for it where the code asks. A timer must be rated for its lamps.</p>`;
}

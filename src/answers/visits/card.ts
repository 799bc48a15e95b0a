/**
 * The card for the day a controller dies: which lamps, what hours, which side,
 * week by week, to be set on ordinary wall timers, and how to flash a spare.
 *
 * Always holds: hours are read from the schedule table itself, the one thing
 * the controller runs, in civil time; a dimmed lamp is given its level; every
 * command on it works as it stands, whatever the number of controllers.
 */

import { lampsOfOutput } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedLamp, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { clockTime, isoDate, ymdFromDay } from '../../../shared/civil.ts';
import type { VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { html, type Markup, page } from '../../page/html.ts';
import { list } from '../../words/lists.ts';
import { sideWord } from '../../words/sides.ts';
import { visitPlace } from './outcomes.ts';
import { dateWords, doWords } from './text.ts';
import { type LitHours, type TimerRow, timerRows } from './timer-rows.ts';

/** What the card is made from: the table of each controller, in plan order. */
export interface CardInput {
  readonly plan: ResolvedPlan;
  readonly planFile: string;
  readonly tables: readonly Uint8Array[];
  readonly visits: readonly VisitOccurrence[];
  readonly offsets: UtcOffsets;
  readonly from: CivilDay;
  /** The day after the last on which bags stand anywhere; `from` or earlier: the plan is over. */
  readonly until: CivilDay;
}

/** The HTML file. */
export function cardPage(input: CardInput): string {
  const { plan } = input;
  const title = `If a controller dies: ${plan.title}`;
  if (input.until <= input.from) {
    const day = isoDate(input.from);
    return page(
      title,
      html`<p>On ${day} this plan is over: no bags stand anywhere, and no lamp is to burn.</p>`,
    );
  }
  const sections = plan.controllers.map((_, controller) => controllerSection(input, controller));
  const range = `${isoDate(input.from)} to ${isoDate(civilDay(input.until - 1))}`;
  const when = html`<p>Valid ${range}. Until a spare runs, use one wall timer for each row; an output is off on all days and hours not named. Light of less than half an hour is left out. Times are those of ${plan.timezone}.</p>`;
  return page(title, html`${when}${sections}${visitSection(input)}${spare(input)}`, STYLE);
}

/** Small enough for a rack of eight outputs on one sheet. */
const STYLE = `
table { font-size: 0.85rem; }
h2 { margin-top: 1rem; }
td.runs span { display: inline-block; margin-right: 1.2em; white-space: nowrap; }
.visits { columns: 3; font-size: 0.85rem; list-style: none; padding: 0; }
@media print { body { font-size: 9pt; } table { font-size: 8pt; } }
`;

/** What the controller would have reminded of, a line a day. */
function visitSection({ plan, visits, from }: CardInput): Markup {
  const coming = visits.filter((visit) => visit.day + visit.days > from);
  const days = [...new Set(coming.map((visit) => Math.max(visit.day, from)))].sort((a, b) => a - b);
  if (days.length === 0) return html``;
  const lines = days.map((day) => {
    const own = coming.filter((visit) => Math.max(visit.day, from) === day);
    return html`<li>${dateWords(civilDay(day))} ${clockTime(Math.min(...own.map(({ at }) => at)))}: ${workWords(plan, own)}</li>\n`;
  });
  return html`<h2>Visits</h2>
<ul class="visits">${lines}</ul>`;
}

/** `lift A and C; turn B (left side to the lamp)`. */
function workWords(plan: ResolvedPlan, visits: readonly VisitOccurrence[]): string {
  const byKind = new Map<VisitKind, string[]>();
  for (const { kind, zone, side, day, days } of visits) {
    const turned = side === undefined ? '' : ` (${sideWord(side)} side to the lamp)`;
    const open = kind === 'harvest' ? ` (open until ${isoDate(civilDay(day + days - 1))})` : '';
    byKind.set(kind, [...(byKind.get(kind) ?? []), `${visitPlace(plan, zone)}${turned}${open}`]);
  }
  return [...byKind].map(([kind, zones]) => `${doWords({ kind, closer: false })} ${list(zones)}`).join('; ');
}

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

function hoursOf(stretches: readonly LitHours[]): string {
  return stretches
    .map(({ from, until, level }) => {
      if (until - from === 1440) return 'all day';
      const end = until === 1440 ? '24:00' : `${clockTime(until % 1440)}${until > 1440 ? ' next day' : ''}`;
      const share = level === 255 ? '' : ` at ${Math.round((level / 255) * 100)} %`;
      return `${clockTime(from)}–${end}${share}`;
    })
    .join(', ');
}

function spare({ plan, planFile }: CardInput): Markup {
  const file = /\s/.test(planFile) ? `"${planFile}"` : planFile;
  const several = plan.controllers.length > 1;
  const steps = plan.controllers.map(({ name, board, unit }) => {
    const which = several ? ` --controller ${name}` : '';
    const command = (word: string, more = ''): Markup =>
      html`<code>leanward ${word} ${file}${which} --port PORT${more}</code>`;
    // A new board is unit 1 until its first flash.
    const fresh = unit === 1 ? '' : ' --unit 1';
    return html`<h3>${name} (${board.title}, unit ${unit})</h3>
<ol><li>Unplug the rack. Fit a spare of the same board, with the lamps on the same outputs.</li>
<li>Read what the old one still has, if it answers: ${command('log')}.</li>
<li>Flash the spare, alone on its line; it carries on with the day it is: ${command('flash', fresh)}.</li>
<li>See that each lamp answers: ${command('lamps')}.</li></ol>
`;
  });
  return html`<h2>Putting in a spare</h2>
${steps}<p class="caution">Mains wiring: unplug before opening, and leave it to someone licensed for it where the code asks. A timer must be rated for its lamps.</p>`;
}

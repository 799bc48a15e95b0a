/**
 * The grow as bands: one row a zone, one column a day; dark and lit, the side
 * that is asked for, visits as marks below.
 *
 * Always holds: days run to the right at the same scale for every zone; a
 * month's first day is ruled.
 */

import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import type { DayDemands, Demand } from '../../compiler/timeline/demand.ts';
import type { VisitOccurrence } from '../../compiler/timeline/visit.ts';
import { itemAt } from '../../shared/assert.ts';
import { isoDate, ymdFromDay } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import { sideWord } from '../words/sides.ts';
import { html, type Markup } from './html.ts';
import { cutTo, textWidth } from './names.ts';

const DAY = 6;
/** Days over which the name of a month reaches. */
const NAME_DAYS = 9;
const ROW = 46;
const BAND = 24;
const TOP = 44;
/** Where days on which nobody visits, and what is made to happen, stand above the bands. */
const ABOVE = 22;
const NAME_SIZE = 15;
const MONTH_SIZE = 12;
/** Room beside the last day. */
const RIGHT = 20;
/** The most that a zone's name takes across. */
const NAMES_MOST = 170;

/** A run of days on which a zone asks for the same. */
interface Stretch {
  readonly from: number;
  days: number;
  readonly demand: Demand | undefined;
}

/** A day on which a zone gets other light than it asks for, minutes. */
export interface OtherLight {
  readonly zone: number;
  readonly day: number;
  readonly asked: number;
  readonly lit: number;
  /** Of `lit`, what came at other hours than asked and was missing in these. */
  readonly astray: number;
}

const hours = (minutes: number): string => `${(minutes / 60).toFixed(1)} h`;

/** Behind the hours that a zone got, what of them came when none were asked for: `, 4.0 h of it at other hours`. */
export function astrayWords({ lit, astray }: Pick<OtherLight, 'lit' | 'astray'>): string {
  if (hours(astray) === hours(0)) return '';
  return hours(astray) === hours(lit) ? ', at other hours' : `, ${hours(astray)} of it at other hours`;
}

/** What happened, or is made to happen. */
export interface WeekMark {
  /** An outage is drawn over a band, the others as signs; `event`: above all bands, with its number. */
  readonly kind: 'outage' | 'cull' | 'harvest' | 'missed' | 'event';
  /** Index of the zone; undefined: all. */
  readonly zone: number | undefined;
  /** Days into the first day's calendar, and how many it lasted. */
  readonly at: number;
  readonly days: number;
  readonly words: string;
}

/** What else is drawn into the weeks. */
export interface WeeksMore {
  /** Days on which the light differs from what is asked. */
  readonly others?: readonly OtherLight[];
  readonly marks?: readonly WeekMark[];
}

/** A drawing with where its days are. */
export interface DrawnWeeks {
  readonly drawing: Markup;
  /** Where the first day begins and how wide a day is, of the drawing's width. */
  readonly start: number;
  readonly day: number;
}

/** An SVG of all zones with bags. */
export const weeksDrawing = (
  plan: ResolvedPlan,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
): Markup => drawnWeeks(plan, days, visits).drawing;

/** The same with more in it. */
export function drawnWeeks(
  plan: ResolvedPlan,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
  { others = [], marks = [] }: WeeksMore = {},
): DrawnWeeks {
  const first = days[0]?.day ?? civilDay(0);
  const zones = plan.zones.map((_, zone) => zone).filter((zone) => days.some((day) => present(day, zone)));
  const names = zones.map((zone) => textWidth(itemAt(plan.zones, zone).name, NAME_SIZE));
  const left = Math.min(NAMES_MOST, Math.max(54, ...names)) + 16;
  const width = left + days.length * DAY + RIGHT;
  const height = TOP + zones.length * ROW + 10;
  const frame = { plan, first, left, count: days.length, rows: zones };
  const drawing = svg(frame, days, visits, others, marks, width, height);
  return { drawing, start: left / width, day: DAY / width };
}

/** Where things are in the drawing. */
interface Frame {
  readonly plan: ResolvedPlan;
  readonly first: number;
  readonly left: number;
  readonly count: number;
  /** Zones (indices) in the order of their rows. */
  readonly rows: readonly number[];
}

function svg(
  frame: Frame,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
  others: readonly OtherLight[],
  marks: readonly WeekMark[],
  width: number,
  height: number,
): Markup {
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" role="img" aria-label="The weeks of the grow, a band a zone">
<defs><pattern id="weeks-away" width="5" height="5" patternUnits="userSpaceOnUse"><path d="M0 5 L5 0" stroke="#625f57" stroke-width="1.4"/></pattern><pattern id="weeks-cut" width="4" height="4" patternUnits="userSpaceOnUse"><path d="M0 1 H4" stroke="#fdfcf8" stroke-width="1.6"/></pattern></defs>
${months(frame, height)}${away(frame)}
${frame.rows.map((zone, row) => zoneRow(frame, days, visits, zone, row))}
${others.map((one) => otherLight(one, frame))}
${marks.map((mark) => weekMark(mark, frame))}
</svg>`;
}

const present = (day: DayDemands, zone: number): boolean =>
  day.demands.some((demand) => demand.zone === zone) || day.dark.some(([dark]) => dark === zone);

/** Days on which nobody visits: a hatched bar above the bands. */
function away({ plan, first, left, count }: Frame): Markup[] {
  return plan.visits.away.flatMap(([from, to]) => {
    const [a, b] = [Math.max(0, from - first), Math.min(count, to - first + 1)];
    if (b <= a) return [];
    const words = `nobody visits from ${isoDate(from)} to ${isoDate(to)}`;
    return [
      html`<rect class="away" x="${left + a * DAY}" y="${ABOVE}" width="${(b - a) * DAY}" height="8" fill="url(#weeks-away)" stroke="#625f57"><title>${words}</title></rect>`,
    ];
  });
}

function weekMark(mark: WeekMark, { rows, left, count }: Frame): Markup[] {
  const { kind, zone, at, days, words } = mark;
  if (at + days < 0 || at > count) return [];
  const x = left + Math.max(0, at) * DAY;
  const title = html`<title>${words}</title>`;
  if (kind === 'event') {
    const points = `${x.toFixed(1)},${TOP - 2} ${(x - 6).toFixed(1)},${TOP - 13} ${(x + 6).toFixed(1)},${TOP - 13}`;
    return [html`<polygon class="event" points="${points}" fill="#2b2a27">${title}</polygon>`];
  }
  const mine = rows.flatMap((one, row) => (zone === undefined || one === zone ? [TOP + row * ROW] : []));
  if (kind === 'outage') {
    const width = Math.max(3, Math.min(count, at + days) * DAY - Math.max(0, at) * DAY).toFixed(1);
    return mine.map(
      (y) =>
        html`<g class="outage">${title}<rect x="${x.toFixed(1)}" y="${y - 4}" width="${width}" height="${BAND + 4}" fill="#2b2a27"/><rect x="${x.toFixed(1)}" y="${y - 4}" width="${width}" height="${BAND + 4}" fill="url(#weeks-cut)"/></g>`,
    );
  }
  return mine.map(
    (y) =>
      html`<g class="${kind}" transform="translate(${x.toFixed(1)} ${y + BAND / 2})" stroke="#2b2a27" stroke-width="2">${title}${SIGNS[kind]}</g>`,
  );
}

/** A cross for a bag culled, a ring with a dot for one harvested, an empty square with a stroke for a visit missed. */
const SIGNS = {
  cull: html`<circle r="8" fill="#fdfcf8" stroke="none"/><path d="M-5 -5 L5 5 M5 -5 L-5 5" stroke-width="3"/>`,
  harvest: html`<circle r="6" fill="#fdfcf8"/><circle r="2" fill="#2b2a27"/>`,
  missed: html`<rect x="-5" y="-5" width="10" height="10" fill="#fdfcf8"/><path d="M-7 7 L7 -7"/>`,
} as const;

function months({ first, left, count }: Frame, height: number): Markup[] {
  const marks: Markup[] = [];
  for (let at = 0; at < count; at++) {
    const { day, month, year } = ymdFromDay(civilDay(first + at));
    if (day !== 1 && at !== 0) continue;
    const x = left + at * DAY;
    const whole = `${year}-${String(month).padStart(2, '0')}`;
    // A grow that begins late in a month, or ends early in one, leaves its name no room.
    const crowded =
      (at === 0 && ymdFromDay(civilDay(first + NAME_DAYS)).month !== month) ||
      (count - at) * DAY + RIGHT < textWidth(whole, MONTH_SIZE) + 3;
    const name = crowded ? '' : whole;
    marks.push(
      html`<line x1="${x}" y1="18" x2="${x}" y2="${height}" stroke="#d9d4c7"/><text x="${x + 3}" y="16" font-size="${MONTH_SIZE}" fill="#625f57">${name}</text>`,
    );
  }
  return marks;
}

function zoneRow(
  { plan, first, left }: Frame,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
  zone: number,
  row: number,
): Markup {
  const y = TOP + row * ROW;
  const own = visits.filter((visit) => visit.zone === zone);
  return html`<g>
<text x="4" y="${y + 17}" font-size="${NAME_SIZE}" fill="#2b2a27">${cutTo(itemAt(plan.zones, zone).name, left - 12, NAME_SIZE)}<title>${itemAt(plan.zones, zone).name}</title></text>
${stretches(days, zone).map((stretch) => band(stretch, left, y))}
${own.map((visit) => visitMark(visit, left + (visit.day - first) * DAY, y + BAND))}
</g>`;
}

/** Missing light leaves a gap in the band, light that was not asked for stands out above it. */
function otherLight(other: OtherLight, { rows, first, left }: Frame): Markup | string {
  const { zone, day, asked, lit, astray } = other;
  const row = rows.indexOf(zone);
  if (row < 0) return '';
  const [x, y] = [left + (day - first) * DAY, TOP + row * ROW];
  const words = `${isoDate(civilDay(day))}: ${hours(lit)} of light where ${hours(asked)} are asked${astrayWords(other)}`;
  const block = (top: number, height: number, fill: string): Markup =>
    html`<rect x="${x}" y="${top}" width="${DAY}" height="${height.toFixed(1)}" fill="${fill}" stroke="#a8442a" stroke-width="1.5"><title>${words}</title></rect>`;
  // Light that a clock brought seconds late came at its hours.
  const away = astrayWords(other) === '' ? 0 : astray;
  const missing = Math.max(0, asked - lit) + away;
  const gap = missing > 0 ? block(y, Math.max(5, (BAND * missing) / asked), '#fdfcf8') : '';
  const more = lit > asked || away > 0 ? block(y - 6, 5, '#2b2a27') : '';
  return html`${gap}${more}`;
}

function stretches(days: readonly DayDemands[], zone: number): Stretch[] {
  const found: Stretch[] = [];
  days.forEach((day, at) => {
    if (!present(day, zone)) return;
    const demand = day.demands.find((one) => one.zone === zone);
    const last = found[found.length - 1];
    if (last && last.from + last.days === at && same(last.demand, demand)) last.days++;
    else found.push({ from: at, days: 1, demand });
  });
  return found;
}

function same(a: Demand | undefined, b: Demand | undefined): boolean {
  if (!a || !b) return a === b;
  return a.side === b.side && a.length === b.length && a.start === b.start && a.batch === b.batch;
}

function band({ from, days, demand }: Stretch, left: number, y: number): Markup {
  const [x, width] = [left + from * DAY, days * DAY];
  if (!demand)
    return html`<rect x="${x}" y="${y}" width="${width}" height="${BAND}" fill="#5b5750"><title>dark, ${days} days</title></rect>`;
  const strength = (0.25 + (0.6 * demand.length) / 1440).toFixed(2);
  const hours = demand.length / 60;
  const side = demand.side === 'upright' ? 'upright' : `lean ${sideWord(demand.side)}`;
  return html`<g><title>${hours} h a day, ${side}, ${days} days</title>
<rect x="${x}" y="${y}" width="${width}" height="${BAND}" fill="#d8a531" fill-opacity="${strength}" stroke="#ffffff"/>
${sideMark(demand, x + width / 2, y + BAND / 2)}</g>`;
}

/** An arrow the way the growth is drawn (left and right as seen from the front; up: back; down: front), a bar for upright. */
function sideMark({ side }: Demand, x: number, y: number): Markup {
  if (side === 'upright')
    return html`<line x1="${x}" y1="${y - 7}" x2="${x}" y2="${y + 7}" stroke="#2b2a27" stroke-width="2"/>`;
  return html`<g transform="translate(${x} ${y}) rotate(${side})" stroke="#2b2a27" stroke-width="2" fill="none"><path d="M0 7 V-7 M-4 -2 L0 -7 L4 -2"/></g>`;
}

const MARKS = { look: '#4a6d8c', lift: '#3f7a54', turn: '#7a4b8c', harvest: '#a8442a' } as const;

function visitMark(visit: VisitOccurrence, x: number, y: number): Markup {
  const color = MARKS[visit.kind];
  const depth = { look: 2, lift: 6, turn: 10, harvest: 14 }[visit.kind];
  const width = visit.kind === 'harvest' ? visit.days * DAY : 4;
  return html`<rect x="${x + 1}" y="${y + depth}" width="${width}" height="3" fill="${color}"><title>${visit.kind} ${isoDate(visit.day)}</title></rect>`;
}

/** The key to the marks below the bands. */
export function visitLegend(): Markup {
  const entry = (kind: keyof typeof MARKS): Markup =>
    html`<span style="border-bottom:3px solid ${MARKS[kind]};margin-right:1.2em">${kind}</span>`;
  return html`<p class="soft">Arrows show the side growth is drawn toward: sideways left or right, up to the back, down to the front; an upright bar: no side. Marks below: ${(['look', 'lift', 'turn', 'harvest'] as const).map(entry)}</p>`;
}

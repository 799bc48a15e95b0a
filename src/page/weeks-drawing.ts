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
import { isoDate, ymdFromDay } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import { sideWord } from '../words/sides.ts';
import { html, type Markup } from './html.ts';

const DAY = 6;
/** Days over which the name of a month reaches. */
const NAME_DAYS = 9;
const ROW = 46;
const BAND = 24;
const LEFT = 70;
const TOP = 30;

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
}

/** Where a moment is in the drawing of a grow of so many days: `across` of its width, 0–1. */
export const acrossWeeks = (count: number, daysIn: number): number =>
  (LEFT + daysIn * DAY) / weeksWidth(count);

const weeksWidth = (count: number): number => LEFT + count * DAY + 20;

/** An SVG of all zones with bags; `others` are the days on which the light differs from what is asked. */
export function weeksDrawing(
  plan: ResolvedPlan,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
  others: readonly OtherLight[] = [],
): Markup {
  const first = days[0]?.day ?? civilDay(0);
  const zones = plan.zones.map((_, zone) => zone).filter((zone) => days.some((day) => present(day, zone)));
  const width = weeksWidth(days.length);
  const height = TOP + zones.length * ROW + 10;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" role="img" aria-label="The weeks of the grow, a band a zone">
${months(first, days.length, height)}
${zones.map((zone, row) => zoneRow(plan, days, visits, zone, row, first))}
${others.map((one) => otherLight(one, zones.indexOf(one.zone), first))}
</svg>`;
}

const present = (day: DayDemands, zone: number): boolean =>
  day.demands.some((demand) => demand.zone === zone) || day.dark.some(([dark]) => dark === zone);

function months(first: number, count: number, height: number): Markup[] {
  const marks: Markup[] = [];
  for (let at = 0; at < count; at++) {
    const { day, month, year } = ymdFromDay(civilDay(first + at));
    if (day !== 1 && at !== 0) continue;
    const x = LEFT + at * DAY;
    // A grow that begins late in a month leaves its name no room.
    const crowded = at === 0 && ymdFromDay(civilDay(first + NAME_DAYS)).month !== month;
    const name = crowded ? '' : `${year}-${String(month).padStart(2, '0')}`;
    marks.push(
      html`<line x1="${x}" y1="18" x2="${x}" y2="${height}" stroke="#d9d4c7"/><text x="${x + 3}" y="16" font-size="12" fill="#6d6a62">${name}</text>`,
    );
  }
  return marks;
}

function zoneRow(
  plan: ResolvedPlan,
  days: readonly DayDemands[],
  visits: readonly VisitOccurrence[],
  zone: number,
  row: number,
  first: number,
): Markup {
  const y = TOP + row * ROW;
  const own = visits.filter((visit) => visit.zone === zone);
  return html`<g>
<text x="4" y="${y + 17}" font-size="15" fill="#2b2a27">${plan.zones[zone]?.name}</text>
${stretches(days, zone).map((stretch) => band(stretch, y))}
${own.map((visit) => visitMark(visit, LEFT + (visit.day - first) * DAY, y + BAND))}
</g>`;
}

/** Missing light leaves a gap in the band, light that was not asked for stands out above it. */
function otherLight({ day, asked, lit }: OtherLight, row: number, first: number): Markup | string {
  if (row < 0) return '';
  const [x, y] = [LEFT + (day - first) * DAY, TOP + row * ROW];
  const hours = (minutes: number): string => `${(minutes / 60).toFixed(1)} h`;
  const words = `${isoDate(civilDay(day))}: ${hours(lit)} of light where ${hours(asked)} are asked`;
  const isLess = lit < asked;
  const height = isLess ? Math.max(5, (BAND * (asked - lit)) / asked) : 5;
  const top = isLess ? y : y - 6;
  return html`<rect x="${x}" y="${top}" width="${DAY}" height="${height.toFixed(1)}" fill="${isLess ? '#fdfcf8' : '#2b2a27'}" stroke="#a8442a" stroke-width="1.5"><title>${words}</title></rect>`;
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

function band({ from, days, demand }: Stretch, y: number): Markup {
  const [x, width] = [LEFT + from * DAY, days * DAY];
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

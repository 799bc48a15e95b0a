/**
 * One line a zone: how much of its light it got, what that did to its lean, and
 * what to do about it.
 *
 * Always holds: shares are of light that is known; what is unknown or
 * unexplained is said in the same line, never left out.
 */

import { stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { backgroundIn, controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { list } from '../../words/lists.ts';
import type { VisitAnswer, VisitOutcome } from '../visits/outcomes.ts';
import type { Review, ReviewedDay } from './review.ts';
import { roomByStage, type StageRoom, stageRoomWords } from './room-by-stage.ts';

/** A zone's days of one batch, summed. */
export interface ZoneTotals {
  readonly planned: number;
  readonly delivered: number;
  readonly unknown: number;
  readonly extra: number;
  readonly darkPlanned: number;
  readonly darkKept: number;
  /** Of the hours of dark, those in which other zones' lamps shine in by plan. */
  readonly stray: number;
  readonly luxPlanned: number;
  readonly luxDelivered: number;
  /** Hours planned and delivered by side. */
  readonly sides: Readonly<Record<string, { readonly planned: number; readonly delivered: number }>>;
}

export interface Verdict {
  readonly zone: number;
  readonly batch: number;
  readonly totals: ZoneTotals;
  /** Delivered share of the planned light that is known; undefined when none was planned. */
  readonly share: number | undefined;
  /** Visits of its days by what became of them. */
  readonly visits: Readonly<Record<VisitAnswer, number>>;
  /** Where its stage's own temperature was not kept. */
  readonly room: readonly StageRoom[];
  readonly line: string;
  readonly todo: string;
}

/** Shares from here on are as good as all. */
const ALL = 0.995;
/** Shortage of a side, in days of its light, that is worth a word. */
const DAYS_WORTH = 0.5;
const EXTRA_HOURS_WORTH = 0.25;
/** Hours of a side in a day from which it was one that the plan asked for. */
const SIDE_HOURS_WORTH = 0.05;
/** Less than this is the rounding of a tenth of an hour. */
const UNKNOWN_HOURS_WORTH = 0.05;

/** The verdicts, zones in plan order, batches in order of time. */
export function verdicts(plan: ResolvedPlan, review: Review): Verdict[] {
  const groups = new Map<string, ReviewedDay[]>();
  for (const day of review.days) {
    const key = `${day.zone} ${day.batch}`;
    groups.set(key, [...(groups.get(key) ?? []), day]);
  }
  return [...groups.values()].map((days) => verdictOf(plan, review, days));
}

function verdictOf(plan: ResolvedPlan, review: Review, days: readonly ReviewedDay[]): Verdict {
  const { zone, batch } = itemAt(days, 0);
  const totals = sumDays(days);
  const known = totals.planned - totals.unknown;
  const share = known > 0 ? totals.delivered / known : undefined;
  const short = shortSides(plan, days);
  const room = roomByStage(plan, review, days);
  const parts = [
    isLitByRoom(plan, days, totals) ? LIT_BY_ROOM : lightWords(totals, share),
    short.length > 0 && `${list(short.map(shortWords))} missing${causeWords(review, days)}`,
    missedWords(missedVisits(review, days)),
    totals.planned > 0 && isStray(totals) && `${strayWords(totals)} in its dark stages`,
    totals.extra >= EXTRA_HOURS_WORTH && `${hours(totals.extra)} of light in its dark hours`,
    ...room.map((one) => stageRoomWords(one, plan.units)),
    standingWords(days),
    isEstimated(plan, review, days) && 'its times are estimated until the clock is set',
  ].filter(Boolean);
  return {
    ...{ zone, batch, totals, share, visits: visitCounts(review, days), room },
    line: `${itemAt(plan.zones, zone).name}: ${parts.join(', ')}`,
    todo: todoWords(plan, review, days, totals, share, short),
  };
}

/** `1 day`, `1.5 days`, `12 days`. */
function daysWords(days: number): string {
  const told = Number(days.toFixed(days < 2 ? 1 : 0));
  return `${told} ${told === 1 ? 'day' : 'days'}`;
}

const LIT_BY_ROOM = 'lit by the room alone, which no log records';

/** Its stages ask for light, no lamp was to give any, and the plan has light that comes anyway. */
function isLitByRoom(plan: ResolvedPlan, days: readonly ReviewedDay[], { planned }: ZoneTotals): boolean {
  const { zone, batch } = itemAt(days, 0);
  const stay = stayIn(plan, batch, zone);
  return (
    planned === 0 &&
    plan.background.some((one) => backgroundIn(one, zone) > 0) &&
    days.some(({ day }) => stageOn(stay, day)?.light !== undefined)
  );
}

/**
 * Whether the clock of a zone's controller is estimated and not set yet, where
 * that concerns these days: when their light came, nobody knows yet.
 */
function isEstimated(plan: ResolvedPlan, review: Review, days: readonly ReviewedDay[]): boolean {
  const { name } = itemAt(plan.controllers, controllerOfZone(plan, itemAt(days, 0).zone));
  return review.incidents.some(
    (one) =>
      one.kind === 'clock' &&
      one.until === undefined &&
      one.controller === name &&
      // By days in UTC: the estimate is coarser than any offset.
      sure(days.at(-1)).day >= Math.floor(one.at / 86_400),
  );
}

/** The sums over days. */
export function sumDays(days: readonly ReviewedDay[]): ZoneTotals {
  const sum = (pick: (day: ReviewedDay) => number): number =>
    days.reduce((total, day) => total + pick(day), 0);
  const sides: Record<string, { planned: number; delivered: number }> = {};
  for (const day of days) {
    for (const [word, { planned, delivered }] of Object.entries(day.sides)) {
      const before = sides[word] ?? { planned: 0, delivered: 0 };
      sides[word] = { planned: before.planned + planned, delivered: before.delivered + delivered };
    }
  }
  return {
    planned: sum((day) => day.planned),
    delivered: sum((day) => day.delivered),
    unknown: sum((day) => day.unknown),
    extra: sum((day) => day.extra),
    darkPlanned: sum((day) => day.darkPlanned),
    darkKept: sum((day) => day.darkKept),
    stray: sum((day) => day.stray),
    luxPlanned: sum((day) => day.luxPlanned),
    luxDelivered: sum((day) => day.luxDelivered),
    sides,
  };
}

/** Hours of which nobody knows whether they were dark, where dark was planned. */
const darkUnknown = ({ darkPlanned, darkKept, extra, stray }: ZoneTotals): number =>
  Math.max(0, darkPlanned - darkKept - extra - stray);

/** `3.5 h`, `24 h of dark`, `3.5 h and 20.5 h of dark`: hours that nobody can know of; `0 h`: there are none. */
export function unknownWords(totals: ZoneTotals): string {
  const dark = darkUnknown(totals);
  const words = [
    ...(totals.unknown >= UNKNOWN_HOURS_WORTH ? [hours(totals.unknown)] : []),
    ...(dark >= UNKNOWN_HOURS_WORTH ? [`${hours(dark)} of dark`] : []),
  ];
  return words.length === 0 ? hours(0) : list(words);
}

/** `96.4 % of its light`. */
export function shareWords(share: number): string {
  // Never rounded up to all, nor down to nothing.
  if (share < 0.001) return share > 0 ? 'less than 0.1 % of its light' : 'none of its light';
  return share >= ALL ? 'all of its light' : `${(Math.floor(share * 1000) / 10).toFixed(1)} % of its light`;
}

/** `1026350 of 1032562 lx·h`; light in hours that were to be dark is among it, and then that is said. */
export function luxWords({ luxDelivered, luxPlanned, extra }: ZoneTotals): string {
  const late = extra >= EXTRA_HOURS_WORTH ? ', light at other hours included' : '';
  return `${Math.round(luxDelivered)} of ${Math.round(luxPlanned)} lx·h${late}`;
}

function lightWords(totals: ZoneTotals, share: number | undefined): string {
  if (share !== undefined) return shareWords(share);
  if (totals.unknown > 0) return 'its light is unknown';
  if (isStray(totals)) return `dark but for ${strayWords(totals)}`;
  return totals.darkKept >= totals.darkPlanned * ALL
    ? 'dark, as planned'
    : 'not dark all the time that was planned';
}

const isStray = ({ stray }: ZoneTotals): boolean => stray >= EXTRA_HOURS_WORTH;

const strayWords = ({ stray }: ZoneTotals): string =>
  `${hours(stray)} of other zones' light that the plan lets in`;

interface Short {
  readonly side: string;
  readonly days: number;
}

const shortWords = ({ side, days }: Short): string => `${daysWords(days)} of light from the ${side}`;

/**
 * The sides that came short by much, in days of their light, the worst first; light that was to make
 * a stage upright has no side that came short.
 */
function shortSides(plan: ResolvedPlan, days: readonly ReviewedDay[]): Short[] {
  const { zone, batch } = itemAt(days, 0);
  const stay = stayIn(plan, batch, zone);
  const short = new Map<string, number>();
  for (const { day, sides } of days) {
    if (stageOn(stay, day)?.lean.kind === 'upright') continue;
    for (const [side, { planned, delivered }] of Object.entries(sides)) {
      // Outputs come on a second apart: one side alone for that second was not asked for.
      if (planned < SIDE_HOURS_WORTH || side === 'upright' || side === 'dark') continue;
      short.set(side, (short.get(side) ?? 0) + Math.max(0, planned - delivered) / planned);
    }
  }
  return [...short]
    .map(([side, missing]) => ({ side, days: missing }))
    .filter((one) => one.days >= DAYS_WORTH)
    .sort((a, b) => b.days - a.days);
}

/** What took most of the lost light: an outage by its day, else in general words. */
function causeWords(review: Review, days: readonly ReviewedDay[]): string {
  const worst = [...days].sort((a, b) => lostHours(b) - lostHours(a))[0];
  if (!worst || lostHours(worst) === 0) return '';
  const { off, none, run } = worst.lost;
  if (none >= off && none >= run) return ' while no table ran';
  if (off >= run) return ` after the outage of ${dateOfOutage(review, worst.day)}`;
  return ` after ${isoDate(worst.day)}`;
}

function lostHours({ lost }: ReviewedDay): number {
  return lost.off + lost.none + lost.run;
}

/** The day on which the outage that darkened `day` began. */
function dateOfOutage(review: Review, day: CivilDay): string {
  const began = review.days.filter((one) => one.day <= day && one.lost.off > 0).map((one) => one.day);
  // Walk back over days in a row.
  let first = day as number;
  while (began.includes(civilDay(first - 1))) first -= 1;
  return isoDate(civilDay(first));
}

function standingWords(days: readonly ReviewedDay[]): string | undefined {
  const count = (standing: ReviewedDay['standing']): number =>
    days.filter((day) => day.standing === standing).length;
  const parts = [
    count('unexplained') > 0 && `${plural(count('unexplained'), 'day')} unexplained`,
    count('unknown') > 0 && `${plural(count('unknown'), 'day')} unknown`,
  ].filter(Boolean);
  return parts.length > 0 ? parts.join(', ') : undefined;
}

/** Visits of a zone over these days, by what became of them. */
function visitCounts(review: Review, days: readonly ReviewedDay[]): Record<VisitAnswer, number> {
  const counts: Record<VisitAnswer, number> = { done: 0, late: 0, missed: 0, seen: 0 };
  for (const outcome of outcomesOver(review, days)) counts[outcome.answer] += 1;
  return counts;
}

function outcomesOver(review: Review, days: readonly ReviewedDay[]): VisitOutcome[] {
  const zone = itemAt(days, 0).zone;
  const due = new Set<number>(days.map((day) => day.day));
  return [...review.outcomes.values()].filter((one) => one.zone === zone && due.has(one.dueDay));
}

/** Visits of a zone that were missed over these days, by kind. */
function missedVisits(review: Review, days: readonly ReviewedDay[]): ReadonlyMap<VisitKind, number> {
  const missed = new Map<VisitKind, number>();
  for (const outcome of outcomesOver(review, days)) {
    if (outcome.answer === 'missed') missed.set(outcome.kind, (missed.get(outcome.kind) ?? 0) + 1);
  }
  return missed;
}

/** `2 lifts and 1 look missed`. */
function missedWords(missed: ReadonlyMap<VisitKind, number>): string | undefined {
  if (missed.size === 0) return undefined;
  return `${list([...missed].map(([kind, count]) => plural(count, kind)))} missed`;
}

function todoWords(
  plan: ResolvedPlan,
  review: Review,
  days: readonly ReviewedDay[],
  totals: ZoneTotals,
  share: number | undefined,
  short: readonly Short[],
): string {
  const last = sure(days.at(-1));
  const stage = stageToLengthen(plan, review, last);
  const todo: string[] = [];
  if (isEstimated(plan, review, days)) todo.push('set the clock (`log PLAN --set-clock`), then review again');
  const [worst, next] = short;
  // Sides that lack the same are in balance: what is left to make up is light, whatever its side.
  if (worst && worst.days - (next?.days ?? 0) >= DAYS_WORTH) todo.push(shiftTurn(worst, next, stage));
  else if (share !== undefined && share < ALL) todo.push(lengthen(days, totals, stage));
  if (isStray(totals)) todo.push("keep other zones' light out: `check` says how");
  if (missedVisits(review, days).has('turn')) {
    todo.push('check that its bags face as the plan has them now, for a turn was missed');
  }
  if (days.some((day) => day.standing === 'unexplained')) {
    todo.push(
      'see whether the lamps burn as `status` says: something else than the tables in the archive may have run',
    );
  }
  if (totals.unknown > 0 && hasLost(plan, review, last.zone))
    todo.push('read the log by the day that `visits` names, so that none of it is lost');
  return todo.filter(Boolean).join('; ') || 'nothing to do';
}

/** The stage that a zone's bags are in, while there is something to make up for: none once they have left, or ended. */
function stageToLengthen(
  plan: ResolvedPlan,
  { until }: Review,
  { batch, zone, day }: ReviewedDay,
): ResolvedStage | undefined {
  const stay = stayIn(plan, batch, zone);
  return !stay || stay.isEnded || stay.free < until ? undefined : stageOn(stay, day);
}

/** Records of the zone's controller were lost before they were read. */
function hasLost(plan: ResolvedPlan, review: Review, zone: number): boolean {
  const { name } = itemAt(plan.controllers, controllerOfZone(plan, zone));
  return review.incidents.some((one) => one.kind === 'lost' && one.unknown && one.controller === name);
}

/** The lean comes back when the side that came shortest is held longer, by what it lacks more than the next. */
function shiftTurn(worst: Short, next: Short | undefined, stage: ResolvedStage | undefined): string {
  // The seconds that outputs wait after a start must not turn a half day down.
  const whole = (value: number): number => Math.max(1, Math.round(value + 0.01));
  const [more, all] = [whole(worst.days - (next?.days ?? 0)), whole(worst.days)];
  if (stage?.lean.kind !== 'sides') return 'that stage is over; the lost light cannot be made up';
  return `give the ${worst.side} side ${plural(more, 'day')} more when its turn comes, or lengthen ${stage.name} by ${plural(all, 'day')} (days: ${stage.days + all})`;
}

function lengthen(
  days: readonly ReviewedDay[],
  totals: ZoneTotals,
  stage: ResolvedStage | undefined,
): string {
  const missing = totals.planned - totals.unknown - totals.delivered;
  if (!stage?.light) {
    return `${hours(missing)} of light are missing over ${plural(days.length, 'day')}; their stage is over, so they cannot be made up`;
  }
  const whole = Math.round(missing / (stage.light.photoperiod / 60));
  if (whole < 1) return `nothing to do: ${hours(missing)} of light are missing, less than half a day of it`;
  return `lengthen ${stage.name} by ${plural(whole, 'day')} (days: ${stage.days + whole}) to make up ${hours(missing)}`;
}

/** `3.5 h`. */
export function hours(value: number): string {
  return `${(Math.round(value * 10) / 10).toString()} h`;
}

function plural(count: number, word: string): string {
  return `${count} ${word}${count === 1 ? '' : 's'}`;
}

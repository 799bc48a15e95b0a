/** The review as a short answer for the terminal: verdicts first, then what happened. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { Units } from '../../../shared/measures.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { bandWords, timeWords } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import type { Drift } from './drift.ts';
import { happenedLines } from './happened.ts';
import type { Review, ReviewedController } from './review.ts';
import { hours, luxWords, unknownWords, type Verdict } from './verdict.ts';
import type { Naming } from './words.ts';

/** Incidents shown before the rest is only counted. */
const SHOWN = 40;

/** The lines of the review. */
export function reviewText(
  plan: ResolvedPlan,
  review: Review,
  verdicts: readonly Verdict[],
  naming: Naming,
): string {
  return [
    [plan.title || 'The plan', spanOf(review)].filter(Boolean).join(': '),
    ...verdicts.flatMap((verdict) => verdictLines(plan, verdict)),
    ...unreadLines(review),
    ...backgroundLines(plan),
    '',
    ...incidentLines(review, naming),
    ...review.controllers.flatMap((one, i) => controllerLines(plan, review, one, i, naming)),
  ].join('\n');
}

/** `2026-02-16 to 2026-05-01`; undefined where no log was read. */
export function spanOf({ from, until, controllers }: Review): string | undefined {
  if (controllers.every(({ readUntil }) => readUntil === undefined)) return undefined;
  return `${isoDate(from)} to ${isoDate(civilDay(Math.max(from, until - 1)))}`;
}

function verdictLines(plan: ResolvedPlan, verdict: Verdict): string[] {
  const { totals } = verdict;
  const batch = itemAt(plan.batches, verdict.batch).name;
  const missing = unknownWords(totals);
  const unknown = missing === hours(0) ? '' : `, ${missing} unknown`;
  const figures =
    totals.planned > 0
      ? `${hours(totals.delivered)} of ${hours(totals.planned)}${unknown}; ${luxWords(totals)}`
      : `lamps off for ${hours(totals.darkKept)} of ${hours(totals.darkPlanned)}${unknown}`;
  return [`  ${verdict.line}`, `      ${batch}: ${figures}${visitsWords(verdict)}. To do: ${verdict.todo}.`];
}

/** `; visits: 12 done, 1 late, 2 missed`; nothing where none was answered or missed. */
export function visitsWords({ visits }: Verdict): string {
  const { done, late, missed, seen } = visits;
  if (done + late + missed + seen === 0) return '';
  return `; visits: ${done + seen} done, ${late} late, ${missed} missed`;
}

/** Light that comes anyway is the plan's word alone. */
export function backgroundLines({ background }: ResolvedPlan): string[] {
  if (background.length === 0) return [];
  return [
    `Light is that of the lamps; background light (${list(background.map(({ name }) => name))}) is in no log.`,
  ];
}

function unreadLines(review: Review): string[] {
  const unread = review.controllers.filter((one) => one.readUntil === undefined).map((one) => one.name);
  if (unread.length === 0) return [];
  return [`No log of ${list(unread)} has been read yet: leanward log PLAN --port PORT reads it.`];
}

function incidentLines(review: Review, naming: Naming): string[] {
  if (review.controllers.every((one) => one.readUntil === undefined))
    return ['What happened is not known yet.'];
  const lines = happenedLines(review, naming);
  if (lines.length === 0) return ['Nothing happened that was not planned.'];
  const shown = lines.slice(0, SHOWN).map((line) => `  ${line}`);
  const more = lines.length - shown.length;
  return ['What happened:', ...shown, ...(more > 0 ? [`  (${more} lesser ones: see --page or --json)`] : [])];
}

function controllerLines(
  plan: ResolvedPlan,
  review: Review,
  one: ReviewedController,
  index: number,
  naming: Naming,
): string[] {
  if (one.readUntil === undefined) return [];
  const read = timeWords(utcSeconds(Math.round(one.readUntil)), naming.offsets);
  const room = roomWords(review, one.name, plan.units);
  const parts = [
    `log read to ${read}`,
    driftWords(one.drift, clockWasWrong(review, one.name)),
    lifeWords(plan, one, index),
    room,
  ].filter(Boolean);
  return [`${one.name}: ${parts.join('; ')}.`];
}

/** The room by one controller's probe over all days; undefined without one. */
function roomWords(review: Review, controller: string, units: Units): string | undefined {
  const days = review.room.filter((day) => day.controller === controller);
  if (days.length === 0) return undefined;
  const min = Math.min(...days.map((day) => day.min));
  const max = Math.max(...days.map((day) => day.max));
  const outside = days.reduce((sum, day) => sum + day.outsideMinutes, 0) / 60;
  return `room ${bandWords(min, max, units)}, ${outside > 0 ? hours(outside) : 'never'} outside its band`;
}

/** The clock of a controller was found to be wrong, or is not set yet: then light came at other times, as told there. */
export function clockWasWrong({ incidents }: Pick<Review, 'incidents'>, controller: string): boolean {
  return incidents.some(
    (one) =>
      one.controller === controller &&
      (one.kind === 'clock moved' || (one.kind === 'clock' && one.behind !== 0)),
  );
}

/** The drift of a clock in words; undefined when it cannot be told yet. What light came off by is not said of a clock that was wrong. */
export function driftWords(drift: Drift | undefined, wasWrong: boolean): string | undefined {
  if (!drift) return undefined;
  const { secondsPerWeek, mostSeconds } = drift;
  const within = Math.max(1, Math.ceil(mostSeconds));
  if (Math.abs(secondsPerWeek) < 0.05)
    return wasWrong
      ? 'its clock keeps time while nothing disturbs it'
      : `its clock kept time to within ${within} s`;
  const rate = `${Math.abs(secondsPerWeek).toFixed(1)} s a week`;
  const way = secondsPerWeek < 0 ? 'loses' : 'gains';
  if (wasWrong) return `its clock ${way} ${rate} while nothing disturbs it`;
  return `its clock ${way} ${rate}, so light came within ${within} s of its time`;
}

/** Switchings against what the contacts are good for; undefined where there are no contacts. */
export function lifeWords(
  plan: ResolvedPlan,
  { operations }: ReviewedController,
  index: number,
): string | undefined {
  const good = plan.controllers[index]?.board.limits.contactOperations;
  const most = Math.max(0, ...operations);
  if (good === undefined || most === 0) return undefined;
  const output = operations.indexOf(most) + 1;
  return `output ${output} switched most, ${most} times (contacts are good for ${good})`;
}

/**
 * The work of the coming days: which bags, when, what for, what is done already.
 *
 * Always holds: bags that were taken out have no work; a zone without a bag
 * left has none either; entries are in order of day, minute and zone.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { nextDayHome } from '../../../compiler/timeline/arrange.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay, minutes } from '../../../shared/units.ts';
import { type BagLife, bagLives, bagsStanding, placeOn } from '../bags/lives.ts';
import { type CloserLook, closerLooks } from '../book/culls.ts';
import type { Note } from '../book/note.ts';
import { closerLookFor, lookFor } from './advice.ts';
import { type VisitAnswer, type VisitOutcome, visitKey } from './outcomes.ts';

export interface WorkItem {
  readonly day: CivilDay;
  /** Due minute of the day, and the end of the visiting hours that hold it. */
  readonly at: number;
  readonly until: number;
  readonly kind: VisitKind;
  /** Index into the plan's controllers. */
  readonly controller: number;
  readonly zone: string;
  readonly batch: string;
  readonly stage: string;
  /** Names of the bags that stand there, and their places, in the same order. */
  readonly bags: readonly string[];
  readonly places: readonly string[];
  /** One line: what to look for. */
  readonly lookFor: string;
  /** Turn visits: the bag's side that is to face the lamp, degrees. */
  readonly side: number | undefined;
  /** A harvest: the last day on which it is open. */
  readonly openUntil: CivilDay | undefined;
  readonly answer: VisitAnswer | undefined;
  /** A closer look near a bag that was taken out. */
  readonly closer: boolean;
}

/** What is known beside the plan. */
export interface Known {
  readonly visits: readonly VisitOccurrence[];
  readonly notes: readonly Note[];
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
}

/** The work of `days` days from `from` on. */
export function workFrom(plan: ResolvedPlan, known: Known, from: CivilDay, days: number): WorkItem[] {
  const end = from + days;
  const lives = bagLives(plan, known.notes);
  const regular = known.visits.flatMap((visit) =>
    shownDays(visit)
      .filter((day) => day >= from && day < end)
      .flatMap((day) => itemOf(plan, known, lives, visit, day)),
  );
  const closer = closerLooks(plan, lives).flatMap((look) =>
    homeDays(plan, look)
      .filter((day) => day >= from && day < end)
      .flatMap((day) => closerItem(plan, known, look, day)),
  );
  return [...regular, ...joinCloser(closer)].sort(inOrder);
}

/** The days of a closer look, those away put off to the first day at home. */
function homeDays(plan: ResolvedPlan, { days }: CloserLook): CivilDay[] {
  return [...new Set(days.map((day) => nextDayHome(plan.visits.away, day)))];
}

function inOrder(a: WorkItem, b: WorkItem): number {
  return a.day - b.day || a.at - b.at || compare(a.zone, b.zone) || compare(a.kind, b.kind);
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

/** A harvest shows when it opens, each week, and on its last three days, as the controller reminds of it. */
function shownDays(visit: VisitOccurrence): CivilDay[] {
  const days = Array.from({ length: visit.days }, (_, i) => i);
  return days
    .filter((i) => visit.kind !== 'harvest' || i % 7 === 0 || i >= visit.days - 3)
    .map((i) => civilDay(visit.day + i));
}

function itemOf(
  plan: ResolvedPlan,
  known: Known,
  lives: readonly BagLife[],
  visit: VisitOccurrence,
  day: CivilDay,
): WorkItem[] {
  const batch = itemAt(plan.batches, visit.batch);
  const zone = itemAt(plan.zones, visit.zone);
  const standing = bagsStanding(lives, visit.zone, day);
  const bags = standing.map(({ name }) => name);
  if (bags.length === 0) return [];
  const stage = stageOn(stayIn(plan, visit.batch, visit.zone), day)?.name ?? '';
  const outcome = known.outcomes.get(visitKey(visit.zone, visit.kind, visit.day));
  return [
    {
      ...{ day, at: visit.at, until: windowEnd(plan, visit.at), kind: visit.kind },
      ...{ controller: visit.controller, zone: zone.name, batch: batch.name, stage, bags },
      places: standing.flatMap((life) => placeOn(life, day)?.place ?? []),
      lookFor: lookFor(visit.kind, stage),
      side: visit.side,
      openUntil: visit.kind === 'harvest' ? civilDay(visit.day + visit.days - 1) : undefined,
      answer: outcome?.answer,
      closer: false,
    },
  ];
}

/** End of the visiting hours that hold a minute; midnight outside all of them. */
export function windowEnd(plan: ResolvedPlan, at: number): number {
  return plan.visits.hours.find(([from, until]) => from <= at && at < until)?.[1] ?? 1440;
}

/** The closer look joins the zone's visit of the day where there is one, else it has a time of its own. */
function closerItem(plan: ResolvedPlan, known: Known, look: CloserLook, day: CivilDay): WorkItem[] {
  const zone = itemAt(plan.zones, look.zone);
  const index = batchOn(plan, look.zone, day);
  if (index === undefined || placeOn(look.life, day)?.zone !== look.zone) return [];
  const batch = itemAt(plan.batches, index);
  const sameDay = known.visits.find((visit) => visit.zone === look.zone && visit.day === day);
  const at = sameDay?.at ?? plan.visits.look?.at ?? plan.visits.hours[0]?.[0] ?? minutes(1080);
  return [
    {
      ...{ day, at, until: windowEnd(plan, at), kind: 'look' as const, zone: zone.name, batch: batch.name },
      controller: controllerOfZone(plan, look.zone),
      stage: stageOn(stayIn(plan, index, look.zone), day)?.name ?? '',
      bags: [look.life.name],
      places: [look.place],
      lookFor: closerLookFor(look.near, look.why),
      ...{ side: undefined, openUntil: undefined, answer: undefined, closer: true },
    },
  ];
}

/** Closer looks of one zone, day and reason are one entry with all their bags. */
function joinCloser(items: readonly WorkItem[]): WorkItem[] {
  const joined = new Map<string, WorkItem>();
  for (const item of items) {
    const key = `${item.day} ${item.zone} ${item.lookFor}`;
    const first = joined.get(key);
    joined.set(key, first ? together(first, item) : item);
  }
  return [...joined.values()];
}

function together(a: WorkItem, b: WorkItem): WorkItem {
  return { ...a, bags: [...a.bags, ...b.bags], places: [...a.places, ...b.places] };
}

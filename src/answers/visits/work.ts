/**
 * The work of the coming days: which bags, when, what for, what is done already.
 *
 * Always holds: bags that were taken out have no work; what was missed is on the first day's list, overdue; a zone without a bag
 * left has none either; entries are in order of day, minute and zone.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { type Moved, nextDayHome } from '../../../compiler/timeline/arrange.ts';
import { reminderDays } from '../../../compiler/timeline/harvest-reminders.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { waitingBatch } from '../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay, minutes } from '../../../shared/units.ts';
import { type BagLife, bagLives, bagsStanding, placeOn } from '../bags/lives.ts';
import { closerLooks } from '../book/culls.ts';
import type { Note } from '../book/note.ts';
import { closerLookFor, lookFor } from './advice.ts';
import { type CloserDay, closerDays, closerDone, closerDropped } from './closer.ts';
import { type VisitAnswer, type VisitOutcome, visitKey, visitPlace } from './outcomes.ts';
import { countedOn, overdueOn } from './remember.ts';

export interface WorkItem {
  readonly day: CivilDay;
  /** Due minute of the day, and the end of the visiting hours that hold it. */
  readonly at: number;
  readonly until: number;
  readonly kind: VisitKind;
  /** Index into the plan's controllers. */
  readonly controller: number;
  /** Empty while the bags wait elsewhere. */
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
  /** The day on which it was due, where that is over and it was neither done nor replaced since. */
  readonly overdue: CivilDay | undefined;
  /** A closer look near a bag that was taken out. */
  readonly closer: boolean;
}

/** What is known beside the plan. */
export interface Known {
  /** Those of the plan, and the looks at bags that wait elsewhere. */
  readonly visits: readonly VisitOccurrence[];
  readonly notes: readonly Note[];
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
  /** From this day on it is known what was done; undefined where nobody ever told: then nothing is overdue. */
  readonly since?: CivilDay | undefined;
}

/** Work that days away leave no room for. */
export interface NotKept {
  readonly what: VisitKind | 'closer look';
  readonly place: string;
  readonly day: CivilDay;
}

/** The work of `days` days from `from` on. */
export function workFrom(plan: ResolvedPlan, known: Known, from: CivilDay, days: number): WorkItem[] {
  const end = from + days;
  const { visits, outcomes, since } = known;
  const lives = bagLives(plan, known.notes);
  const overdue = (since === undefined ? [] : overdueOn(plan, visits, outcomes, since, from)).flatMap(
    ({ visit, day }) => itemOf(plan, known, lives, visit, from, lastDayOf(visit, day)),
  );
  const regular = countedOn(plan, visits, outcomes).flatMap(({ visit, day: begins }) =>
    shownDays(plan, visit, begins)
      .filter((day) => day >= from && day < end)
      .flatMap((day) => itemOf(plan, known, lives, visit, day)),
  );
  const closer = closerDays(plan, closerLooks(plan, lives), outcomes, since, from, end).flatMap((one) =>
    closerItem(plan, known, one),
  );
  return [...overdue, ...regular, ...joinCloser(closer)].sort(inOrder(plan));
}

/** What cannot be done on the days away of `days` days from `from` on, nor near them: kind, place and day. */
export function notKept(
  plan: ResolvedPlan,
  known: Known,
  moved: readonly Moved[],
  from: CivilDay,
  days: number,
): NotKept[] {
  const within = (day: number): boolean => day >= from && day < from + days;
  const visits = moved
    .filter(({ visit, to, why }) => why === 'away' && to === undefined && within(visit.day))
    .map(({ visit }) => ({ what: visit.kind, place: visitPlace(plan, visit.zone), day: visit.day }));
  const looks = closerLooks(plan, bagLives(plan, known.notes));
  const closer = closerDropped(plan, looks, from, from + days).map(({ look, day }) => ({
    what: 'closer look' as const,
    place: itemAt(plan.zones, look.zone).name,
    day,
  }));
  return [...visits, ...closer].sort((a, b) => a.day - b.day);
}

/** By day and time; then zones as the plan has them, so that 2 comes before 10. */
function inOrder({ zones }: ResolvedPlan): (a: WorkItem, b: WorkItem) => number {
  const places = new Map(zones.map(({ name }, place) => [name, place]));
  const placeOf = (zone: string): number => places.get(zone) ?? -1;
  return (a, b) =>
    a.day - b.day || a.at - b.at || placeOf(a.zone) - placeOf(b.zone) || compare(a.kind, b.kind);
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

const lastDayOf = ({ days }: VisitOccurrence, begins: CivilDay): CivilDay => civilDay(begins + days - 1);

/**
 * A harvest shows when it opens, each week, and on its last three days, as the controller reminds of it;
 * on a day away, on the next at home instead.
 */
function shownDays(plan: ResolvedPlan, visit: VisitOccurrence, begins: CivilDay): CivilDay[] {
  if (visit.kind !== 'harvest') return [begins];
  const days = reminderDays(begins, visit.days).map((day) => nextDayHome(plan.visits.away, day));
  return [...new Set(days)].filter((day) => day <= lastDayOf(visit, begins));
}

function itemOf(
  plan: ResolvedPlan,
  known: Known,
  lives: readonly BagLife[],
  visit: VisitOccurrence,
  day: CivilDay,
  overdue?: CivilDay,
): WorkItem[] {
  const batch = itemAt(plan.batches, visit.batch);
  const isWaiting = waitingBatch(visit.zone) !== undefined;
  const standing = isWaiting ? bagsWaiting(lives, visit.batch, day) : bagsStanding(lives, visit.zone, day);
  const bags = standing.map(({ name }) => name);
  if (bags.length === 0) return [];
  const stage = isWaiting ? WAITING : (stageOn(stayIn(plan, visit.batch, visit.zone), day)?.name ?? '');
  const outcome = known.outcomes.get(visitKey(visit.zone, visit.kind, visit.day));
  return [
    {
      ...{ day, at: visit.at, until: windowEnd(plan, visit.at), kind: visit.kind },
      ...{ controller: visit.controller, zone: isWaiting ? '' : itemAt(plan.zones, visit.zone).name },
      ...{ batch: batch.name, stage, bags, overdue },
      places: standing.flatMap((life) => placeOn(life, day)?.place ?? []),
      lookFor: lookFor(visit.kind, isWaiting ? 'colonise' : stage),
      side: visit.side,
      openUntil: visit.kind === 'harvest' ? civilDay(visit.day + visit.days - 1) : undefined,
      answer: outcome?.answer,
      closer: false,
    },
  ];
}

/** What stands in place of a stage while bags are not on the rack yet. */
const WAITING = 'waiting';

/** Bags of a batch that were sealed and are neither out nor on the rack. */
function bagsWaiting(lives: readonly BagLife[], batch: number, day: CivilDay): BagLife[] {
  return lives.filter(
    (life) => life.batch === batch && life.sealed <= day && (life.out === undefined || life.out.day > day),
  );
}

/** End of the visiting hours that hold a minute; midnight outside all of them. */
export function windowEnd(plan: ResolvedPlan, at: number): number {
  return plan.visits.hours.find(([from, until]) => from <= at && at < until)?.[1] ?? 1440;
}

/** The closer look joins the zone's visit of the day where there is one, else it has a time of its own. */
function closerItem(plan: ResolvedPlan, known: Known, { look, day, overdue }: CloserDay): WorkItem[] {
  const zone = itemAt(plan.zones, look.zone);
  const index = batchOn(plan, look.zone, day);
  if (index === undefined) return [];
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
      ...{ side: undefined, openUntil: undefined, overdue, closer: true },
      answer: closerDone(known.outcomes, look, day) ? ('done' as const) : undefined,
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

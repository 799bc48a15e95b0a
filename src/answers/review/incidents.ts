/**
 * What happened that was not planned, as facts, in order of time.
 *
 * Always holds: each event is one incident; an ordinary day leaves none; the
 * words are written elsewhere.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { firstInstant, type UtcOffsets, wallClock } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { SMALL_STEP_SECONDS } from '../../../shared/behaviour.ts';
import { BOOT_CAUSE, FAULT } from '../../../shared/log.ts';
import type { VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import { type VisitOutcome, visitKey } from '../visits/outcomes.ts';
import { windowEnd } from '../visits/work.ts';
import type { Settled, Story } from './story.ts';
import { unknownSpans } from './timeline.ts';

/** Common to all: when it began, true UTC seconds, and the controller's name. */
interface When {
  readonly at: number;
  readonly controller: string;
  /** The clock was estimated when it began, ended or in between: how long it lasted is not known to the minute. */
  readonly about?: true;
}

export type Incident =
  | ({
      readonly kind: 'outage';
      /** Undefined: nobody knows since when; then `at` is when the power was back. */
      readonly from: number | undefined;
      readonly until: number;
    } & When)
  | ({ readonly kind: 'restart'; readonly cause: number } & When)
  | ({
      readonly kind: 'clock';
      readonly until: number | undefined;
      /** Seconds by which the clock turned out to be behind. */
      readonly behind: number | undefined;
    } & When)
  | ({ readonly kind: 'clock moved'; readonly forward: number } & When)
  | ({
      readonly kind: 'hand';
      readonly until: number;
      readonly outputs: number;
      readonly on: boolean;
    } & When)
  | ({
      readonly kind: 'visit';
      readonly zone: string;
      readonly visit: VisitKind;
      readonly answer: 'missed' | 'late' | 'not told';
      readonly lateMinutes: number | undefined;
    } & When)
  | ({
      readonly kind: 'room';
      readonly until: number | undefined;
      /** Temperature when it was told, °C. */
      readonly temperature: number;
    } & When)
  | ({
      readonly kind: 'fault';
      readonly fault: number;
      readonly until: number | undefined;
      readonly detail: number;
    } & When)
  | ({
      readonly kind: 'lost';
      readonly records: number;
      /** What happened from `at` until then is unknown, unless `unknown` says that proofs cover all of it. */
      readonly until: number;
      readonly unknown: boolean;
      /** They are the first that there ever were: all before `until` is unknown. */
      readonly first: boolean;
      /** What is taken to have run afterwards, and how that is known. */
      readonly settled: Settled | undefined;
    } & When)
  | ({ readonly kind: 'unexplained'; readonly day: CivilDay } & When)
  | ({ readonly kind: 'no bytes'; readonly crc: number } & When);

/** Faults that another incident tells already. */
const TOLD_ELSEWHERE: readonly number[] = [
  FAULT.clockStopped,
  FAULT.roomOutside,
  FAULT.settingsMended,
  FAULT.noTable,
];

/** The incidents of one controller's story within [from, until). */
export function storyIncidents(story: Story, controller: string, from: number, until: number): Incident[] {
  const all: Incident[] = [
    ...outages(story, controller),
    ...story.estimated.map(({ from: at, until: end, behind }) => ({
      ...{ kind: 'clock' as const, at, until: end, behind, controller },
    })),
    ...clockMoves(story, controller),
    ...story.hands.map(({ from: at, until: end, outputs, level }) => ({
      ...{ kind: 'hand' as const, at, until: end, outputs, on: level > 0, controller },
    })),
    ...faults(story, controller),
    ...losses(story, controller),
    ...story.proofs
      .filter((one) => one.result === 'unexplained')
      .map(({ from: at, day }) => ({ kind: 'unexplained' as const, at, day: civilDay(day), controller })),
    ...story.tables
      .filter((one) => !one.schedule)
      .map(({ at, crc }) => ({ kind: 'no bytes' as const, at, crc, controller })),
  ];
  // What happened on the bench, before any table ran, is nobody's concern.
  const began = Math.max(from, story.tables[0]?.at ?? from);
  return all
    .filter((one) => one.at < until && endOf(one) >= from && (endOf(one) > began || one.at >= began))
    .map((one) => (isLengthEstimated(one, story) ? { ...one, about: true } : one));
}

/** Whether what has a length touches a time at which the clock was estimated. */
function isLengthEstimated(incident: Incident, { estimated }: Story): boolean {
  if (!['outage', 'hand', 'room', 'fault'].includes(incident.kind)) return false;
  return estimated.some(
    ({ from, until }) => from <= endOf(incident) && (until ?? Number.POSITIVE_INFINITY) > incident.at,
  );
}

/** When a incident was over; endless ones reach to the end of time. */
function endOf(incident: Incident): number {
  if (!('until' in incident)) return incident.at;
  return incident.until ?? Number.POSITIVE_INFINITY;
}

/** A restart that kept the power on is told as such, not as an outage. */
function outages(story: Story, controller: string): Incident[] {
  return story.outages.map(({ from, until, cause }) =>
    cause === BOOT_CAUSE.external || cause === BOOT_CAUSE.watchdog
      ? { kind: 'restart', at: from ?? until, cause, controller }
      : { kind: 'outage', at: from ?? until, from, until, controller },
  );
}

/** Large settings of a clock that was trusted until then. */
function clockMoves(story: Story, controller: string): Incident[] {
  const settled = story.estimated.map((span) => span.until);
  return story.settings
    .filter(({ at, forward }) => Math.abs(forward) > SMALL_STEP_SECONDS && !settled.includes(at))
    .map(({ at, forward }) => ({ kind: 'clock moved', at, forward, controller }));
}

/** Each loss with the time that no proof covers. */
function losses(story: Story, controller: string): Incident[] {
  const unknown = unknownSpans(story);
  return story.lost.map(({ from: at, until, records, settled }) => {
    const mine = unknown.filter((span) => span.from >= at && span.until <= until);
    const first = at <= story.from;
    return {
      ...{ kind: 'lost' as const, at, records, first, settled, controller },
      until: mine.at(-1)?.until ?? at,
      unknown: first || mine.length > 0,
    };
  });
}

function faults(story: Story, controller: string): Incident[] {
  return story.faults.flatMap(({ fault, from: at, until, detail }): Incident[] => {
    if (fault === FAULT.roomOutside) {
      return [{ kind: 'room', at, until, temperature: (detail | 0) / 16, controller }];
    }
    if (TOLD_ELSEWHERE.includes(fault)) return [];
    return [{ kind: 'fault', at, until, fault, detail, controller }];
  });
}

/** What is needed to judge visits: the plan's, and what became of them. */
export interface VisitFacts {
  readonly plan: ResolvedPlan;
  readonly visits: readonly VisitOccurrence[];
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
  readonly offsets: UtcOffsets;
  /** Stories by controller, in plan order. */
  readonly stories: readonly (Story | undefined)[];
  /** Whether a zone (index) had a bag to be visited on a day. */
  readonly hasBags: (zone: number, day: CivilDay) => boolean;
}

/**
 * Visits within [from, until) that were missed, late, or of which the log tells nothing although it should. Where the
 * table had them on other days than the plan has now, they are told by the table's days.
 */
export function visitIncidents(facts: VisitFacts, from: number, until: number): Incident[] {
  const { elsewhere, stoodFor } = otherDays(facts);
  const { outcomes } = facts;
  const planned = facts.visits.filter(
    (visit) => !stoodFor.has(visit) || outcomes.has(visitKey(visit.zone, visit.kind, visit.day)),
  );
  return [
    ...plannedIncidents(facts, planned, from, until),
    ...elsewhere.flatMap((one) => otherIncident(facts, one, from, until)),
  ];
}

/** Outcomes on days on which the plan has no such visit now, each with the visit nearest to it, and the visits they stand for. */
function otherDays({ visits, outcomes, hasBags }: VisitFacts) {
  const kinds = new Map<string, VisitOccurrence[]>();
  for (const visit of visits) {
    const key = `${visit.zone} ${visit.kind}`;
    kinds.set(key, [...(kinds.get(key) ?? []), visit]);
  }
  const stoodFor = new Set<VisitOccurrence>();
  const elsewhere = [...outcomes.values()].flatMap((outcome) => {
    const { zone, kind, dueDay } = outcome;
    const alike = kinds.get(`${zone} ${kind}`) ?? [];
    const isPlanned = alike.some((visit) => visit.day === dueDay);
    // A harvest is open for many days: on which of them it was answered is no other visit.
    if (isPlanned || kind === 'harvest' || !hasBags(zone, dueDay)) return [];
    const [nearest] = [...alike].sort((a, b) => Math.abs(a.day - dueDay) - Math.abs(b.day - dueDay));
    if (!nearest) return [];
    stoodFor.add(nearest);
    return [{ outcome, nearest }];
  });
  return { elsewhere, stoodFor };
}

function otherIncident(
  { plan, offsets }: VisitFacts,
  { outcome, nearest }: { readonly outcome: VisitOutcome; readonly nearest: VisitOccurrence },
  from: number,
  until: number,
): Incident[] {
  const { answer, lateMinutes, kind, dueDay } = outcome;
  const at = firstInstant(offsets, dueDay, nearest.at) as number;
  if (at < from || at >= until || (answer !== 'missed' && answer !== 'late')) return [];
  const zone = itemAt(plan.zones, outcome.zone).name;
  const controller = itemAt(plan.controllers, nearest.controller).name;
  return [{ kind: 'visit', at, zone, visit: kind, answer, lateMinutes, controller }];
}

function plannedIncidents(
  facts: VisitFacts,
  visits: readonly VisitOccurrence[],
  from: number,
  until: number,
): Incident[] {
  return visits.flatMap((visit) => {
    const { plan, offsets, outcomes } = facts;
    const at = firstInstant(offsets, visit.day, visit.at) as number;
    const end = visitEnd(plan, offsets, visit);
    const story = facts.stories[visit.controller];
    if (at < from || at >= until || !story || end >= story.until) return [];
    const outcome = outcomes.get(visitKey(visit.zone, visit.kind, visit.day));
    const answer = answerOf(story, visit, outcome, end);
    if (!answer) return [];
    const zone = itemAt(plan.zones, visit.zone).name;
    const controller = itemAt(plan.controllers, visit.controller).name;
    const { lateMinutes } = outcome ?? {};
    return [{ kind: 'visit' as const, at, zone, visit: visit.kind, answer, lateMinutes, controller }];
  });
}

/** When the window of a visit ends: of a harvest, on its last day. */
export function visitEnd(plan: ResolvedPlan, offsets: UtcOffsets, visit: VisitOccurrence): number {
  return firstInstant(offsets, visit.day + visit.days - 1, windowEnd(plan, visit.at));
}

function answerOf(
  story: Story,
  visit: VisitOccurrence,
  outcome: VisitOutcome | undefined,
  end: number,
): 'missed' | 'late' | 'not told' | undefined {
  if (outcome) return outcome.answer === 'missed' || outcome.answer === 'late' ? outcome.answer : undefined;
  // A harvest closes without a record when its reminder was answered.
  if (visit.kind === 'harvest' || !ranTable(story, end)) return undefined;
  const inHole = unknownSpans(story).some((hole) => hole.from <= end && hole.until >= end);
  return inHole ? undefined : 'not told';
}

/** A table was running when the visit was due, so the controller knew of it. */
function ranTable(story: Story, at: number): boolean {
  const first = story.tables[0];
  return first !== undefined && first.at <= at;
}

/** Incidents in order of time. */
export function inOrder(incidents: readonly Incident[]): Incident[] {
  return [...incidents].sort((a, b) => a.at - b.at);
}

/** The civil day of an instant. */
export function dayAt(offsets: UtcOffsets, at: number): CivilDay {
  return civilDay(wallClock(offsets, utcSeconds(Math.floor(at))).day);
}

/**
 * What became of each visit: the controller's log, with the grower's own
 * corrections on top.
 *
 * Always holds: the newest word on a visit counts; an answer taken back leaves
 * the visit as if it had not been answered; a correction made at the computer
 * goes before the log.
 */

import { zonesOfController } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { waitingBatch, waitingZone } from '../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type LogRecord, VISIT_OUTCOME } from '../../../shared/log.ts';
import { VISIT_KINDS, type VisitKind } from '../../../shared/table.ts';
import type { CivilDay } from '../../../shared/units.ts';

export type VisitAnswer = 'done' | 'late' | 'missed' | 'seen';

export interface VisitOutcome {
  /** Index into the plan's zones. */
  readonly zone: number;
  readonly kind: VisitKind;
  readonly dueDay: CivilDay;
  readonly answer: VisitAnswer;
  /** After the due instant, negative before; undefined for a correction. */
  readonly lateMinutes: number | undefined;
  /** The day on which it was answered; undefined where nothing tells. */
  readonly doneDay?: CivilDay | undefined;
  readonly corrected: boolean;
}

/** A correction made at the computer. */
export interface Correction {
  readonly zone: number;
  readonly kind: VisitKind;
  readonly dueDay: CivilDay;
  readonly outcome: 'done' | 'undone';
  /** The day on which the work was done; undefined in corrections of older archives. */
  readonly doneDay?: CivilDay | undefined;
}

const ANSWERS: Readonly<Record<number, VisitAnswer>> = {
  [VISIT_OUTCOME.done]: 'done',
  [VISIT_OUTCOME.late]: 'late',
  [VISIT_OUTCOME.missed]: 'missed',
  [VISIT_OUTCOME.seen]: 'seen',
};

/** Key of a visit among outcomes. */
export function visitKey(zone: number, kind: VisitKind, dueDay: number): string {
  return `${zone} ${kind} ${dueDay}`;
}

/**
 * The outcomes by `visitKey`. `records` are one controller's, in order;
 * `dayOf` gives the civil day of a UTC second at the place.
 */
export function outcomesOf(
  plan: ResolvedPlan,
  controller: number,
  records: readonly LogRecord[],
  dayOf: (utc: number) => CivilDay,
): Map<string, VisitOutcome> {
  const zones = zonesOfController(plan, controller);
  const outcomes = new Map<string, VisitOutcome>();
  for (const record of records) {
    const kind = record.type === 'visit' ? VISIT_KINDS[record.kind] : undefined;
    if (record.type !== 'visit' || !kind) continue;
    const dueDay = dayOf(record.time - 60 * record.lateMinutes);
    const answer = ANSWERS[record.outcome];
    for (const [bit, zone] of zones.entries()) {
      if ((record.zones & (1 << bit)) === 0) continue;
      const key = visitKey(zone, kind, dueDay);
      const { lateMinutes } = record;
      const doneDay = dayOf(record.time);
      if (answer) outcomes.set(key, { zone, kind, dueDay, answer, lateMinutes, doneDay, corrected: false });
      else if (record.outcome === VISIT_OUTCOME.undone) outcomes.delete(key);
    }
  }
  return outcomes;
}

/**
 * A visit of which an answer was taken back and not given anew was missed, once
 * it is over: the controller closes no visit a second time. `over` are the
 * visits whose windows have ended, `takenBack` the keys of what was undone.
 */
export function missedWhereTakenBack(
  outcomes: ReadonlyMap<string, VisitOutcome>,
  takenBack: ReadonlySet<string>,
  over: readonly { readonly zone: number; readonly kind: VisitKind; readonly day: CivilDay }[],
): Map<string, VisitOutcome> {
  const result = new Map(outcomes);
  for (const { zone, kind, day } of over) {
    const key = visitKey(zone, kind, day);
    if (!takenBack.has(key) || result.has(key)) continue;
    result.set(key, { zone, kind, dueDay: day, answer: 'missed', lateMinutes: undefined, corrected: true });
  }
  return result;
}

/** Keys of the visits of which some answer was taken back, on the controller or at the computer. */
export function takenBack(
  plan: ResolvedPlan,
  controller: number,
  records: readonly LogRecord[],
  dayOf: (utc: number) => CivilDay,
): string[] {
  const zones = zonesOfController(plan, controller);
  return records.flatMap((record) => {
    const kind = record.type === 'visit' ? VISIT_KINDS[record.kind] : undefined;
    if (record.type !== 'visit' || !kind || record.outcome !== VISIT_OUTCOME.undone) return [];
    const dueDay = dayOf(record.time - 60 * record.lateMinutes);
    return zones.flatMap((zone, bit) => (record.zones & (1 << bit) ? [visitKey(zone, kind, dueDay)] : []));
  });
}

/** Lays corrections over outcomes, in the order they were made. */
export function correct(
  outcomes: ReadonlyMap<string, VisitOutcome>,
  corrections: readonly Correction[],
): Map<string, VisitOutcome> {
  const result = new Map(outcomes);
  for (const { zone, kind, dueDay, outcome, doneDay } of corrections) {
    const key = visitKey(zone, kind, dueDay);
    const told = outcomes.get(key);
    // What the controller itself saw missed stays missed when the computer's "done" is taken back.
    if (outcome === 'undone' && told?.answer === 'missed') result.set(key, told);
    else if (outcome === 'undone') result.delete(key);
    else {
      const own = { lateMinutes: undefined, doneDay, corrected: true };
      result.set(key, { zone, kind, dueDay, answer: 'done', ...own });
    }
  }
  return result;
}

/** How a visit's place is named in the archive: a zone by its name, bags that wait by their batch. */
export function visitPlace(plan: ResolvedPlan, zone: number): string {
  const waits = waitingBatch(zone);
  return waits === undefined ? itemAt(plan.zones, zone).name : `batch ${itemAt(plan.batches, waits).name}`;
}

/** The zone (index, negative for bags that wait) of such a name; undefined where the plan has none. */
export function visitPlaceNamed(plan: ResolvedPlan, name: string): number | undefined {
  const zone = plan.zones.findIndex((one) => one.name === name);
  if (zone >= 0) return zone;
  const batch = plan.batches.findIndex((one) => `batch ${one.name}` === name);
  return batch < 0 ? undefined : waitingZone(batch);
}

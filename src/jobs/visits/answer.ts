/**
 * A visit is answered from the computer, in the archive alone.
 *
 * Always holds: it is a correction, which the controller does not know of, and
 * is said to be one.
 */

import { randomUUID } from 'node:crypto';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { visitOccurrences } from '../../../compiler/timeline/visits.ts';
import { waitingLooks } from '../../../compiler/timeline/waiting.ts';
import { isoDate } from '../../../shared/civil.ts';
import { VISIT_KINDS, type VisitKind } from '../../../shared/table.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { correct, type VisitOutcome, visitPlace, visitPlaceNamed } from '../../answers/visits/outcomes.ts';
import { isDone } from '../../answers/visits/remember.ts';
import { readCorrections, writeCorrection } from '../../archive/corrections.ts';
import { withArchive } from '../../archive/open.ts';
import { withoutPassword } from '../../archive/open-postgres.ts';
import { type Failure, usage } from '../../failure.ts';
import { list } from '../../words/lists.ts';
import type { ArchiveToRead } from '../archive.ts';

/** Which visits are meant: of a zone (index, negative for bags that wait) and a kind. */
export interface NamedVisit {
  readonly zone: number;
  readonly kind: VisitKind;
}

/** What is said of them, and on which day. */
export interface GivenAnswer {
  readonly named: NamedVisit;
  readonly outcome: 'done' | 'undone';
  readonly today: CivilDay;
  readonly why: string | undefined;
}

/** The visit that was answered. */
export interface AnsweredVisit {
  readonly zone: string;
  readonly kind: VisitKind;
  readonly due: CivilDay;
  readonly outcome: 'done' | 'undone';
}

/** The visit that two words name, such as `A lift`; `spring look` of a batch that is not on the rack yet. */
export function visitNamed(plan: ResolvedPlan, words: readonly string[]): { zone: number; kind: VisitKind } {
  const [zoneName = '', kindName = ''] = words;
  const zone = visitPlaceNamed(plan, zoneName) ?? visitPlaceNamed(plan, `batch ${zoneName}`);
  const kind = VISIT_KINDS.find((one) => one === kindName);
  if (zone === undefined)
    throw usage(`The plan has no zone '${zoneName}'.`, `It has ${list(plan.zones.map((one) => one.name))}.`);
  if (!kind)
    throw usage(
      `'${kindName}' is no kind of visit.`,
      `Write one of ${list(VISIT_KINDS)}, as in --done ${zoneName} lift.`,
    );
  return { zone, kind };
}

/** Writes a correction into the archive: of the newest visit that was due by `today`. */
export async function answerInArchive(
  plan: ResolvedPlan,
  { named, outcome, today, why }: GivenAnswer,
  { place, name }: ArchiveToRead,
): Promise<AnsweredVisit> {
  const visits = [...visitOccurrences(plan), ...waitingLooks(plan).visits];
  const { kind } = named;
  const zone = visitPlace(plan, named.zone);
  const now = Date.now();
  const refuse = (): Failure => usage(`No ${kind} in ${zone} was due by ${isoDate(today)}.`);
  // What is refused makes no archive.
  if (!visits.some((one) => one.zone === named.zone && one.kind === kind && one.day <= today)) throw refuse();
  return withArchive(place, now, async (archive) => {
    const outcomes = correct(new Map(), await readCorrections(archive, name, plan));
    const due = visitMeant(visits, named, outcome, outcomes, today);
    if (!due) throw refuse();
    await writeCorrection(archive, {
      ...{ id: randomUUID(), plan: name, zone, kind, dueDay: due.day, doneDay: today },
      ...{ outcome, why, writtenMs: now },
    });
    return { zone, kind, due: due.day, outcome };
  });
}

/** `lift in A of 2026-04-13: kept as done in rack.archive.sqlite (the controller does not know).` */
export function answeredWords({ zone, kind, due, outcome }: AnsweredVisit, place: string): string {
  const word = outcome === 'done' ? 'done' : 'not done';
  return `${kind} in ${zone} of ${isoDate(due)}: kept as ${word} in ${withoutPassword(place)} (the controller does not know).`;
}

/**
 * The newest visit that was due by `today`; where that is done already, one that is due soon enough (within
 * half its interval, as on the controller), else that one once more.
 */
function visitMeant(
  visits: readonly VisitOccurrence[],
  named: NamedVisit,
  outcome: 'done' | 'undone',
  outcomes: ReadonlyMap<string, VisitOutcome>,
  today: CivilDay,
): VisitOccurrence | undefined {
  const own = visits.filter(({ zone, kind }) => zone === named.zone && kind === named.kind);
  const newest = own.findLast(({ day }) => day <= today);
  if (outcome === 'undone' || (newest && !isDone(outcomes, newest))) return newest;
  const next = own.find(({ day }) => day > today);
  const isSoon = next !== undefined && next.kind !== 'harvest' && 2 * (next.day - today) <= next.interval;
  return isSoon && newest !== undefined ? next : newest;
}

/**
 * Visits done, or not done, other than the controller knows: kept in the
 * archive when the controller itself cannot take the answer (any more).
 *
 * Always holds: corrections are only ever added; the newest one on a visit counts.
 */

import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { VISIT_KINDS, type VisitKind } from '../../shared/table.ts';
import type { CivilDay } from '../../shared/units.ts';
import { type Correction, visitPlaceNamed } from '../answers/visits/outcomes.ts';
import { dayIn } from './days.ts';
import type { Archive } from './open.ts';

/** A correction as it is written. */
export interface NewCorrection {
  readonly id: string;
  readonly plan: string;
  readonly zone: string;
  readonly kind: VisitKind;
  readonly dueDay: CivilDay;
  readonly outcome: Correction['outcome'];
  /** The day on which the work was done, or not done. */
  readonly doneDay: CivilDay;
  readonly why: string | undefined;
  readonly writtenMs: number;
}

/** Writes a correction. */
export async function writeCorrection(archive: Archive, one: NewCorrection): Promise<void> {
  await archive.db
    .insertInto('corrections')
    .values({
      ...{ id: one.id, plan: one.plan, zone: one.zone, kind: one.kind, due_day: one.dueDay },
      ...{ outcome: one.outcome, why: one.why ?? null, written_ms: one.writtenMs },
      done_day: one.doneDay,
    })
    .execute();
}

/** The corrections of a plan whose zones or batches still exist, oldest first. */
export async function readCorrections(
  archive: Archive,
  name: string,
  plan: ResolvedPlan,
): Promise<Correction[]> {
  const rows = await archive.db
    .selectFrom('corrections')
    .selectAll()
    .where('plan', '=', name)
    .orderBy('written_ms')
    .orderBy('id')
    .execute();
  return rows.flatMap((row) => {
    const zone = visitPlaceNamed(plan, row.zone);
    const kind = VISIT_KINDS.find((one) => one === row.kind);
    if (zone === undefined || !kind) return [];
    const outcome = row.outcome === 'done' ? 'done' : 'undone';
    const doneDay = row.done_day === null ? undefined : dayIn(archive, row.done_day);
    return [{ zone, kind, dueDay: dayIn(archive, row.due_day), outcome, doneDay }];
  });
}

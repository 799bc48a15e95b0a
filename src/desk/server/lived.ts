/**
 * What really happened to a plan, for the bands of its weeks.
 *
 * Always holds: the archive is only looked into; without one there is nothing
 * to tell, and none is made.
 */

import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { livedWeeks } from '../../answers/review/lived.ts';
import { reviewPlan } from '../../answers/review/review.ts';
import { withArchive } from '../../archive/open.ts';
import { archiveToRead, isArchiveThere } from '../../jobs/archive.ts';
import { compilePlanFile, photometryOf } from '../../jobs/plan-file.ts';
import { gatherReview } from '../../jobs/review/gather.ts';
import { namesOf } from '../../words/names.ts';
import type { Lived } from '../wire.ts';

/** The weeks of the plan in the file `path` as they were lived. */
export async function livedOf(path: string): Promise<Lived> {
  const { place, name, practice } = await archiveToRead(path, {});
  if (!isArchiveThere(place)) return { weeks: undefined, practice: false };
  const { plan, tables, timeline } = await compilePlanFile(path, undefined);
  const days = plan.batches.flatMap(({ zones }) => zones.map(({ enters }) => enters));
  if (days.length === 0) return { weeks: undefined, practice };
  const from = civilDay(Math.min(...days));
  const offsets = offsetsFor(
    plan.timezone,
    utcSeconds((from - 3) * 86_400),
    utcSeconds((from + 1200) * 86_400),
  );
  const gathered = await withArchive(place, Date.now(), (archive) => gatherReview(archive, plan, name, from));
  const review = reviewPlan({
    ...{ plan, offsets, from, ...gathered },
    tables: tables.map((table) => table.encoded.bytes),
    visits: timeline.visits,
    photometry: photometryOf(path),
  });
  const names = Object.fromEntries(plan.controllers.map((one, i) => [one.name, namesOf(plan, i)]));
  return { weeks: livedWeeks(plan, review, { offsets, names }), practice };
}

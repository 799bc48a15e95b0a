/**
 * What really happened to a plan, for the bands of its weeks.
 *
 * Always holds: the archive is only looked into; without one there is nothing
 * to tell, and none is made.
 */

import { civilDay } from '../../../shared/units.ts';
import { livedWeeks } from '../../answers/review/lived.ts';
import { archiveToRead, isArchiveThere } from '../../jobs/archive.ts';
import { compilePlanFile } from '../../jobs/plan-file.ts';
import { reviewOf } from '../../jobs/review/review.ts';
import type { Lived } from '../wire-book.ts';
import type { LongAsk } from './review.ts';

/** The weeks of a plan as they were lived. */
export async function livedOf({ path, archive }: LongAsk): Promise<Lived> {
  const where = await archiveToRead(path, archive);
  const { practice } = where;
  if (!isArchiveThere(where.place)) return { weeks: undefined, practice };
  const compiled = await compilePlanFile(path, undefined);
  const { plan } = compiled;
  const days = plan.batches.flatMap(({ zones }) => zones.map(({ enters }) => enters));
  if (days.length === 0) return { weeks: undefined, practice };
  const { review, naming } = await reviewOf(path, compiled, where, { from: civilDay(Math.min(...days)) });
  return { weeks: livedWeeks(plan, review, naming), practice };
}

/**
 * The review of a plan, and the record of a lot, as the desk shows them: the
 * very markup of the files that `review --page` writes.
 *
 * Always holds: the archive is only looked into; without one it is said how one
 * comes to be.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { photosOf } from '../../answers/book/photos.ts';
import { recordBody } from '../../answers/lot/page.ts';
import { lotRecord } from '../../answers/lot/record.ts';
import { batchesOfLot } from '../../answers/review/lot.ts';
import { reviewBody } from '../../answers/review/page.ts';
import { usage } from '../../failure.ts';
import { type ArchiveOptions, archiveToRead, isArchiveThere, placeShown } from '../../jobs/archive.ts';
import { compilePlanFile } from '../../jobs/plan-file.ts';
import { reviewOf, reviewShown } from '../../jobs/review/review.ts';
import { html } from '../../page/html.ts';
import { list } from '../../words/lists.ts';
import type { ReviewAnswer } from '../wire-book.ts';

/** What is asked of a plan's file; `name` is its bare name. */
export interface LongAsk {
  readonly path: string;
  readonly name: string;
  readonly archive: ArchiveOptions;
  readonly lot: string;
}

/** The review of a plan; of one lot its record. */
export async function reviewAnswer({ path, name, archive, lot }: LongAsk): Promise<ReviewAnswer> {
  const where = await archiveToRead(path, archive);
  const photoAt = (photo: string): string => `/photo?${new URLSearchParams({ name, photo })}`;
  if (!isArchiveThere(where.place)) {
    const words =
      `There is no archive ${placeShown(where.place)} yet, so that nobody knows what happened. ` +
      'It comes to be when a controller of the plan is flashed or its log is read, or with the first entry in the grow book.';
    return { isThere: false, words };
  }
  const compiled = await compilePlanFile(path, undefined);
  const { plan } = compiled;
  const lots = lotsOf(plan);
  const asked = lot === '' ? {} : { lot };
  const reviewed = await reviewOf(path, compiled, where, asked);
  const { review, naming, takenBack, behind } = reviewed;
  const addresses = (files: readonly { readonly file: string }[]) =>
    new Map(files.map(({ file }) => [file, photoAt(file)]));
  if (lot !== '') {
    const batches = batchesOfLot(plan, lot);
    if (batches.length === 0) throw usage(`The plan has no lot '${lot}'.`, `It has ${list(lots)}.`);
    const records = batches.map((batch) => lotRecord(plan, review, batch, naming, takenBack));
    const pictures = addresses(records.flatMap(({ photos }) => photos));
    return { isThere: true, markup: recordBody(plan, records, pictures).text, lots };
  }
  const pictures = addresses(photosOf(review.notes));
  const body = reviewBody({ ...reviewShown(compiled, reviewed, asked), pictures });
  const told = behind.map((line) => html`<p class="caution">${line}</p>`);
  return { isThere: true, markup: html`${told}${body}`.text, lots };
}

const lotsOf = (plan: ResolvedPlan): string[] => [
  ...new Set(plan.batches.map((batch) => batch.lot ?? batch.name)),
];

/** `review`: what happened, compared with the plan: what the lamps, the room and the visits really did. */

import type { Command } from 'commander';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { isoDate } from '../../../../shared/civil.ts';
import type { TakenBack } from '../../../answers/book/note.ts';
import type { BookPhoto, Pictures } from '../../../answers/book/photos.ts';
import type { LotRecord } from '../../../answers/lot/record.ts';
import type { ReviewPage } from '../../../answers/review/page.ts';
import type { Review } from '../../../answers/review/review.ts';
import type { Naming } from '../../../answers/review/words.ts';
import { usage } from '../../../failure.ts';
import { writeFileSafely } from '../../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../../files/outputs.ts';
import { ARCHIVE_OPTION, archiveToRead, isArchiveThere } from '../../../jobs/archive.ts';
import { dayOption, todayAt } from '../../../jobs/dates.ts';
import { compilePlanFile } from '../../../jobs/plan-file.ts';
import { list } from '../../../words/lists.ts';
import { remark, say, sayJson } from '../../terminal.ts';

interface Options {
  readonly archive?: string;
  readonly from?: string;
  readonly day?: string;
  readonly lot?: string;
  readonly page?: string;
  readonly force?: boolean;
  readonly json?: boolean;
}

/** The plan's file, where its archive lies, and the entries of its book that were taken back. */
interface BookAt {
  readonly path: string;
  readonly place: string;
  readonly takenBack: readonly TakenBack[];
}

/** Adds what `review` takes. */
export function define(command: Command): void {
  command
    .description(
      'Replays the archive against the plan, second by second: light planned and delivered, from which side, outages,\n' +
        'visits, the room; a verdict in one line a zone, and what to do. What nobody can know is said to be unknown.',
    )
    .argument('<plan>', 'the plan file')
    .option(...ARCHIVE_OPTION)
    .option('--from <date>', 'first day (else the beginning of the batches that still run, or did lately)')
    .option('--day <date>', 'the day to look ahead from (else the last that the log tells of)')
    .option(
      '--lot <name>',
      'the record of one lot instead, for somebody else to audit: making, stages, light, room, visits, bags, the book',
    )
    .option('--page <file>', 'also write a page with pictures')
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward review rack.plan.yaml --page review.html')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(path: string, options: Options): Promise<void> {
  checkOutputs({ write: [options.page], read: [path, options.archive], force: options.force });
  const compiled = await compilePlanFile(path, undefined);
  const { plan } = compiled;
  const where = await archiveToRead(path, options);
  if (!isArchiveThere(where.place)) {
    throw usage(
      `There is no archive ${where.place} yet.`,
      `Read a controller first: leanward log ${path} --port PORT.`,
    );
  }
  const asked = {
    from: options.from === undefined ? undefined : dayOption(options.from, '--from'),
    day: options.day === undefined ? undefined : todayAt(plan.timezone, options.day),
    lot: options.lot,
  };
  const { reviewOf, reviewShown } = await import('../../../jobs/review/review.ts');
  const reviewed = await reviewOf(path, compiled, where, asked);
  const book = { path, place: where.place, takenBack: reviewed.takenBack };
  if (options.lot !== undefined)
    await tellLot(plan, reviewed.review, options.lot, reviewed.naming, book, options);
  else await tell(reviewShown(compiled, reviewed, asked), options, { book, behind: reviewed.behind });
}

async function tell(
  shown: Omit<ReviewPage, 'pictures'>,
  options: Options,
  { book, behind }: { readonly book: BookAt; readonly behind: readonly string[] },
): Promise<void> {
  const { plan, review, verdicts: judged, forecast, naming, crop } = shown;
  if (options.json) {
    const { reviewJson } = await import('../../../answers/review/json.ts');
    sayJson(reviewJson(plan, review, judged, forecast, crop));
  } else {
    const { reviewText } = await import('../../../answers/review/text.ts');
    const { cropLines } = await import('../../../answers/crop/text.ts');
    const { forecastLines } = await import('../../../answers/visits/forecast.ts');
    const { photoLines, photosOf } = await import('../../../answers/book/photos.ts');
    say(reviewText(plan, review, judged, naming));
    if (behind.length > 0) say(['', ...behind].join('\n'));
    if (crop) say(['', ...cropLines(plan, crop)].join('\n'));
    say(['', 'Harvest ahead:', ...forecastLines(forecast, plan.units).map((line) => `  ${line}`)].join('\n'));
    const photos = photoLines(photosOf(review.notes));
    if (photos.length > 0) say(['', ...photos].join('\n'));
  }
  if (options.page === undefined) return;
  const { reviewPage } = await import('../../../answers/review/page.ts');
  const { photosOf } = await import('../../../answers/book/photos.ts');
  const pictures = await picturesFor(book, photosOf(review.notes));
  writePage(options, reviewPage({ ...shown, pictures }));
}

async function tellLot(
  plan: ResolvedPlan,
  review: Review,
  lot: string,
  naming: Naming,
  book: BookAt,
  options: Options,
): Promise<void> {
  const { batchesOfLot } = await import('../../../answers/review/lot.ts');
  const { lotRecord } = await import('../../../answers/lot/record.ts');
  const batches = batchesOfLot(plan, lot);
  if (batches.length === 0) {
    const known = [...new Set(plan.batches.map((batch) => batch.lot ?? batch.name))];
    throw usage(`The plan has no lot '${lot}'.`, `It has ${list(known)}.`);
  }
  const records = batches.map((batch) => lotRecord(plan, review, batch, naming, book.takenBack));
  if (options.json) sayJson({ lot, batches: records.map(recordJson) });
  else {
    const { recordText } = await import('../../../answers/lot/text.ts');
    say(records.map(recordText).join('\n\n'));
  }
  if (options.page === undefined) return;
  const { recordPage } = await import('../../../answers/lot/page.ts');
  const photos = records.flatMap((record) => record.photos);
  writePage(options, recordPage(plan, lot, records, await picturesFor(book, photos)));
}

async function picturesFor(book: BookAt, photos: readonly BookPhoto[]): Promise<Pictures> {
  const { picturesOf } = await import('../../../files/photos.ts');
  return picturesOf(
    book,
    photos.map(({ file }) => file),
  );
}

function recordJson({ batch, parts, photos }: LotRecord): Readonly<Record<string, unknown>> {
  return { batch, parts, photos: photos.map(({ day, ...photo }) => ({ ...photo, day: isoDate(day) })) };
}

function writePage(options: Options, text: string): void {
  if (options.page === undefined) return;
  writeFileSafely(options.page, text);
  if (!options.json) remark(`Wrote ${options.page}.`);
}

/**
 * What really happened, from a plan and its archive, as `review` tells it and
 * its page shows it.
 *
 * Always holds: the archive is only looked into.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import type { TakenBack } from '../../answers/book/note.ts';
import { reviewCrop } from '../../answers/crop/crop.ts';
import { roomMeans } from '../../answers/crop/forecast.ts';
import type { ReviewPage } from '../../answers/review/page.ts';
import { type Review, reviewPlan } from '../../answers/review/review.ts';
import { verdicts } from '../../answers/review/verdict.ts';
import type { Naming } from '../../answers/review/words.ts';
import { harvestForecast } from '../../answers/visits/forecast.ts';
import { lookInArchive } from '../../archive/open.ts';
import { namesOf } from '../../words/names.ts';
import type { ArchiveToRead } from '../archive.ts';
import { todayAt } from '../dates.ts';
import { photometryOf } from '../plan-file.ts';
import { behindLines, type Standing, standings } from '../standing.ts';
import { gatherReview } from './gather.ts';

/** What the review is asked for; whatever is left out is found from plan and archive. */
export interface ReviewAsked {
  /** First day. */
  readonly from?: CivilDay | undefined;
  /** The day to look ahead from. */
  readonly day?: CivilDay | undefined;
  /** One lot (or batch) alone. */
  readonly lot?: string | undefined;
}

export interface Reviewed {
  readonly review: Review;
  /** Entries of the book that were taken back. */
  readonly takenBack: readonly TakenBack[];
  readonly naming: Naming;
  /** The day that it looks ahead from. */
  readonly today: CivilDay;
  /** A line for each controller that runs something else than the plan says. */
  readonly behind: readonly string[];
}

/** Batches over for longer than this are left out unless asked for, days. */
const RECENT_DAYS = 14;

/** The review of the plan in the file `path`. */
export async function reviewOf(
  path: string,
  { plan, timeline, tables }: SoundPlan,
  { place, name }: ArchiveToRead,
  asked: ReviewAsked,
): Promise<Reviewed> {
  const standing = await lookInArchive(place, Date.now(), (archive) =>
    standings(path, plan, timeline.visits, archive, name, asked.day),
  );
  const today = reviewDay(plan, asked, standing);
  const from = firstDay(plan, asked, today);
  const offsets = offsetsFor(
    plan.timezone,
    utcSeconds((from - 3) * 86_400),
    utcSeconds((from + 1200) * 86_400),
  );
  const { takenBack, ...gathered } = await lookInArchive(place, Date.now(), (archive) =>
    gatherReview(archive, plan, name, from),
  );
  const review = reviewPlan({
    ...{ plan, offsets, from, ...gathered },
    tables: tables.map((table) => table.encoded.bytes),
    visits: timeline.visits,
    photometry: photometryOf(path),
  });
  const names = Object.fromEntries(plan.controllers.map((one, i) => [one.name, namesOf(plan, i)]));
  return { review, takenBack, naming: { offsets, names }, today, behind: behindLines(standing, path) };
}

/** What its page shows beside photos. */
export function reviewShown(
  { plan, timeline }: SoundPlan,
  { review, naming, today }: Reviewed,
  asked: ReviewAsked,
): Omit<ReviewPage, 'pictures'> {
  const judged = verdicts(plan, review);
  const forecast = harvestForecast(plan, timeline.visits, review.notes, review.outcomes, today);
  // The book may know of days that no log has told of yet.
  const about = review.notes.filter(({ kind }) => kind !== 'sealed');
  const written = asked.day === undefined ? about.map(({ day }) => day) : [];
  const cropDay = civilDay(Math.max(today, ...written));
  const crop = reviewCrop({ plan, notes: review.notes, rooms: roomMeans(review.room), today: cropDay });
  return { plan, review, verdicts: judged, forecast, naming, crop };
}

/** The day that the review looks ahead from: the last that was heard of, which a virtual controller has in its own time. */
function reviewDay(
  { timezone }: ResolvedPlan,
  { day }: ReviewAsked,
  standing: readonly Standing[],
): CivilDay {
  if (day !== undefined) return day;
  if (standing.length === 0) return todayAt(timezone, undefined);
  return civilDay(Math.max(...standing.map((one) => one.met)));
}

/** Where the review begins. */
function firstDay(plan: ResolvedPlan, { from, lot }: ReviewAsked, today: CivilDay): CivilDay {
  if (from !== undefined) return from;
  const stays = plan.batches
    .filter((batch) => lot === undefined || batch.lot === lot || batch.name === lot)
    .flatMap((batch) => batch.zones);
  const recent = lot === undefined ? stays.filter((stay) => stay.free > today - RECENT_DAYS) : stays;
  const chosen = recent.length > 0 ? recent : stays;
  return civilDay(Math.min(today, ...chosen.map((stay) => stay.enters)));
}

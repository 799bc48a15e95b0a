/**
 * Whether a plan was changed and not flashed: the table that a board runs
 * against the one that the plan gives today.
 *
 * Always holds: what is compared is what is still to come; words that change
 * nothing on the board are no difference, nor is how far its reminders reach.
 */

import { offsetsAround } from '../../compiler/plan/place-time.ts';
import type { ResolvedBatch, ResolvedPlan } from '../../compiler/plan/plan.ts';
import { wallClock } from '../../compiler/plan/utc-offsets.ts';
import { isoDate, utcFromUnixMs } from '../../shared/civil.ts';
import { type CivilDay, civilDay, type UtcSeconds } from '../../shared/units.ts';
import { compareTables } from '../answers/changes/changes.ts';
import { behindWords, planDifferences } from '../answers/changes/since.ts';
import { remindersOnBoard } from '../answers/visits/on-board.ts';
import type { FlashedTable } from '../archive/flashed.ts';
import { readBytes } from '../files/files.ts';
import { boardsById, photometryFor } from './plan-file.ts';

/** The board, as far as the question goes. */
export interface OnBoard {
  /** Index into the plan's controllers. */
  readonly controller: number;
  readonly bytes: Uint8Array;
  /** What the archive keeps of that table, where it does. */
  readonly flashed: FlashedTable | undefined;
}

/** In words what the plan says otherwise than the board's table from `now` on; undefined: nothing, or the plan has errors. */
export async function behindPlan(path: string, board: OnBoard, now: UtcSeconds): Promise<string | undefined> {
  const text = readBytes(path);
  const { flashed } = board;
  if (flashed?.planText !== undefined && flashed.planText === Buffer.from(text).toString('utf8'))
    return undefined;
  const boards = boardsById();
  const photometry = photometryFor(text, path, boards);
  const { readPlan } = await import('../../compiler/read-plan.ts');
  const { compilePlan } = await import('../../compiler/compile.ts');
  const { visitOccurrences } = await import('../../compiler/timeline/visits.ts');
  const whole = readPlan(text, { boards }).plan;
  if (!whole) return undefined;
  const { timezone } = whole;
  const offsets = offsetsAround(timezone, now);
  const fromDay = civilDay(wallClock(offsets, now).day);
  const { plan, timeline, tables } = compilePlan(text, { boards, photometry, advise: false, fromDay });
  const table = tables.find((one) => one.controller === board.controller);
  if (!plan || !timeline || !table) return undefined;
  const before = flashed?.planText === undefined ? undefined : readPlan(flashed.planText, { boards }).plan;
  // How far reminders fit differs with the day of compiling: what neither left out is compared.
  const planned = before ? visitOccurrences(before) : timeline.visits;
  const onBoard = remindersOnBoard(board.bytes, planned, board.controller, offsets, fromDay);
  const lastVisits = Math.min(
    onBoard ?? Number.POSITIVE_INFINITY,
    table.remindersUntil ?? Number.POSITIVE_INFINITY,
  );
  const { outputs, visits } = compareTables(board.bytes, table.encoded.bytes, offsets, now, lastVisits);
  if (outputs.every((one) => one.differing.length === 0) && visits.every((one) => one.same)) return undefined;
  const day =
    flashed &&
    isoDate(civilDay(wallClock(offsetsAround(timezone, now), utcFromUnixMs(flashed.storedMs)).day));
  return behindWords(day, before ? planDifferences(...stillToCome(before, whole, fromDay)) : []);
}

/** Both plans without the batches that are over by a day in both; one that was ended meanwhile is a difference. */
function stillToCome(
  before: ResolvedPlan,
  after: ResolvedPlan,
  fromDay: CivilDay,
): [before: ResolvedPlan, after: ResolvedPlan] {
  const goesOn = ({ zones }: ResolvedBatch): boolean => zones.some(({ free }) => free > fromDay);
  const names = new Set([...before.batches, ...after.batches].filter(goesOn).map(({ name }) => name));
  const of = (plan: ResolvedPlan): ResolvedPlan => ({
    ...plan,
    batches: plan.batches.filter(({ name }) => names.has(name)),
  });
  return [of(before), of(after)];
}

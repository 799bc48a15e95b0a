/**
 * A height of growth held against the room that its bag has.
 *
 * Always holds: heights are counted from the top of the block. Growth in a sealed
 * bag is not taller than the bag; taller than what the bag leaves free above its
 * block it may be (the film gives, and the block's height is worked out), which
 * is remarked, as is growth that gets lower. Once a bag is out its growth is measured as it lies.
 */

import { blockHeight } from '../../../compiler/plan/block-height.ts';
import type { ResolvedBag, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { sizeWords } from '../../../shared/measures.ts';
import { refused } from '../../failure.ts';
import type { BagLife } from '../bags/lives.ts';
import type { Note } from './note.ts';
import { wayOn } from './way-on.ts';

/** Beyond this share of the free height a reading is remarked: film gives a little (a starting value). */
const GIVES = 1.1;

/** A height below this share of an earlier one is remarked: readings differ a little (a starting value). */
const SHRINKS = 0.9;

const bagOf = (plan: ResolvedPlan, life: BagLife): ResolvedBag =>
  itemAt(plan.bags, itemAt(plan.batches, life.batch).bag);

/** Refuses growth that is taller than its whole bag. */
export function refuseTallerThanBag(plan: ResolvedPlan, life: BagLife, heightMm: number | undefined): void {
  const bag = bagOf(plan, life);
  if (heightMm === undefined || life.out || heightMm <= bag.height) return;
  const [high, whole] = [heightMm, bag.height].map((mm) => sizeWords(mm, plan.units));
  throw refused(
    `${life.name} cannot have growth ${high} high: bag ${bag.name} is ${whole} high as it stands.`,
    'Check the height and its unit; it is counted from the top of the block.',
  );
}

/** The remarks on a height that was just noted; `lives` are the bags before. */
export function heightTold(plan: ResolvedPlan, lives: readonly BagLife[], entry: Note): string[] {
  const life = lives.find(({ name }) => name === entry.bag);
  if (entry.heightMm === undefined || !life || life.out) return [];
  const told = [roomWords(plan, life, entry.heightMm), orderWords(plan, life, entry, entry.heightMm)].flatMap(
    (words) => words ?? [],
  );
  return told.length === 0 ? [] : [`${told.join(' ')} ${wayOn([entry])}`];
}

function roomWords(plan: ResolvedPlan, life: BagLife, heightMm: number): string | undefined {
  const bag = bagOf(plan, life);
  const free = bag.height - blockHeight(bag);
  if (heightMm <= free * GIVES) return undefined;
  const [high, room] = [heightMm, free].map((mm) => sizeWords(mm, plan.units));
  return (
    `${life.name}: growth ${high} high is more than bag ${bag.name} has free above its block, about ${room}. ` +
    'Heights are counted from the top of the block.'
  );
}

/** Growth that would have shrunk, or two heights of one day. */
function orderWords(plan: ResolvedPlan, life: BagLife, entry: Note, heightMm: number): string | undefined {
  const odd = life.notes.findLast(({ heightMm: other, day }) => {
    if (other === undefined) return false;
    if (day === entry.day) return other !== heightMm;
    return day < entry.day ? other * SHRINKS > heightMm : other < heightMm * SHRINKS;
  });
  if (odd?.heightMm === undefined) return undefined;
  const [high, other] = [heightMm, odd.heightMm].map((mm) => sizeWords(mm, plan.units));
  const when = odd.day === entry.day ? 'on the same day' : `on ${isoDate(odd.day)}`;
  const both = odd.day === entry.day ? ' Both count.' : ' Growth does not get lower.';
  return `${life.name}: the book has ${other} ${when}, and now ${high}.${both}`;
}

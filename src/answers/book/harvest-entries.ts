/**
 * Entries of a harvest, held against what a bag can give.
 *
 * Always holds: a bag gives no more than was put into it, and no more dry than
 * fresh; it is cut once; its dry mass may come later, once.
 */

import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { harvestWords, massWords } from '../../../shared/measures.ts';
import { refused } from '../../failure.ts';
import type { BagLife } from '../bags/lives.ts';
import { entryAbout, outWords, refuseUnlessIn, type Writing } from './entries.ts';
import type { Note } from './note.ts';

/** What was weighed, grams: of each bag, or of all of them together. */
export interface Weighed {
  readonly freshG: readonly number[] | undefined;
  readonly dryG: readonly number[] | undefined;
  readonly isTogether: boolean;
  readonly text: string | undefined;
}

/** The entries of one harvest, one a bag, in the order of the bags. */
export function harvestEntries(
  writing: Writing,
  lives: readonly BagLife[],
  { freshG, dryG, isTogether, text }: Weighed,
): Note[] {
  const share = (grams: readonly number[] | undefined, i: number): number | undefined => {
    if (!grams) return undefined;
    return isTogether ? Math.round((itemAt(grams, 0) / lives.length) * 1000) / 1000 : itemAt(grams, i);
  };
  return lives.map((life, i) => {
    const [fresh, dry] = [share(freshG, i), share(dryG, i)];
    if (fresh === undefined) refuseLaterDry(writing, life, dry);
    else refuseUnlessIn(writing, life);
    refuseMasses(writing, life, fresh ?? life.harvest?.freshG, dry);
    const together = isTogether && lives.length > 1 ? lives.length : undefined;
    return { ...entryAbout(writing, life, 'harvest'), massG: fresh, dryG: dry, together, text };
  });
}

/** A dry mass alone belongs to a bag that was cut, and was not weighed dry yet. */
function refuseLaterDry({ day, plan }: Writing, life: BagLife, dry: number | undefined): void {
  const { harvest, out, name } = life;
  if (out && !harvest) throw refused(`${name} ${outWords(life)}.`);
  if (!harvest || dry === undefined) {
    throw refused(
      `${name} has not been harvested yet.`,
      'Give the fresh mass too: harvest PLAN BAG --fresh "85 g".',
    );
  }
  if (day < harvest.day)
    throw refused(`${name} was harvested on ${isoDate(harvest.day)}, after ${isoDate(day)}.`);
  if (harvest.dryG !== undefined) {
    throw refused(`${name} was weighed dry already: ${harvestWords(harvest.dryG, plan.units)}.`);
  }
}

function refuseMasses({ plan }: Writing, life: BagLife, fresh = 0, dry: number | undefined): void {
  const { units } = plan;
  const { fill, name } = itemAt(plan.bags, itemAt(plan.batches, life.batch).bag);
  if (!(fresh > 0) || (dry !== undefined && !(dry > 0))) {
    throw refused(`${life.name} cannot have given nothing: a harvest has a mass.`);
  }
  if (fresh / 1000 > fill) {
    throw refused(
      `${life.name} cannot have given ${massWords(fresh / 1000, units)}: bag ${name} holds ${massWords(fill, units)}.`,
      'Check the mass and its unit; of several bags weighed at once, add --together.',
    );
  }
  if (dry !== undefined && dry >= fresh) {
    throw refused(
      `${life.name} cannot weigh ${harvestWords(dry, units)} dry and ${harvestWords(fresh, units)} fresh.`,
      'Check both masses.',
    );
  }
}

/**
 * The offer to end zones that have no bag left: `ended` written into the plan.
 *
 * Always holds: what would change is worked out and held against the plan; it is
 * written by whoever was told to.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { writeEnded } from '../../../compiler/write/change-batch.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { bagLives } from '../../answers/bags/lives.ts';
import { type Ending, endings } from '../../answers/book/culls.ts';
import type { Note } from '../../answers/book/note.ts';
import { list } from '../../words/lists.ts';
import { type PlanChange, tryChange } from '../plan-change.ts';
import type { OpenBook } from './open-book.ts';

/** What may be ended, and how the plan would change. */
export interface EndingOffer {
  readonly zones: readonly string[];
  readonly words: string;
  readonly change: PlanChange;
}

/** What has no bag left once `entries` are in the book, of their batches (without entries: of all); undefined: nothing. */
export function endingOffer(
  { plan, notes, day, path }: Pick<OpenBook, 'plan' | 'notes' | 'day' | 'path'>,
  entries: readonly Note[],
): EndingOffer | undefined {
  const found = endings(plan, bagLives(plan, [...notes, ...entries]), day);
  const mine = found.filter(
    ({ batch }) => entries.length === 0 || entries.some((one) => one.batch === batch),
  );
  const zones = mine.map(({ zone }) => zone);
  const [first] = mine;
  if (!first) return undefined;
  const change = tryChange(path, (text) => written(plan, text, mine), {
    what: 'Nothing was ended',
    day: first.day,
  });
  const [s, is] = zones.length === 1 ? ['', 'has'] : ['s', 'have'];
  const words = `Zone${s} ${list(zones)} ${is} no bag left. To stop the lamps and visits there, ${path} would change:`;
  return { zones, words, change };
}

/** The text with every ending written; zones of one batch and day together. */
function written(plan: ResolvedPlan, text: string, all: readonly Ending[]): string | undefined {
  const groups = new Map<string, Ending[]>();
  for (const one of all) {
    const key = `${one.batch} ${isoDate(one.day)}`;
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const days = (batch: string): number =>
    new Set(all.filter((one) => one.batch === batch).map(({ day }) => day)).size;
  const zonesOf = (batch: string): string[] =>
    plan.batches
      .filter(({ name }) => name === batch)
      .flatMap(({ zones }) => zones.map(({ zone }) => itemAt(plan.zones, zone).name));
  return [...groups.values()].reduce<string | undefined>((now, [first, ...more]) => {
    if (!first || now === undefined) return now;
    const zones = [first, ...more].map(({ zone }) => zone);
    // One day for the whole batch only where all its zones emptied on that day.
    const isWhole = first.isWhole && days(first.batch) === 1;
    const others = zonesOf(first.batch).filter((zone) => !zones.includes(zone));
    return writeEnded(now, first.batch, { zones, others, isWhole, day: first.day });
  }, text);
}

/** What a cull brings with it, in words: the bag is out, those near it get a closer look. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { list } from '../../words/lists.ts';
import { NAMES_MAX, placeWords } from '../../words/places.ts';
import { bagLives } from '../bags/lives.ts';
import { type CloserLook, closerLooks } from './culls.ts';
import type { Note } from './note.ts';

export interface CullsTold {
  readonly lines: readonly string[];
  /** Names of the bags that get a closer look. */
  readonly closer: readonly string[];
}

/** Of culls that were added to the notes of a book. */
export function cullsTold(plan: ResolvedPlan, notes: readonly Note[], culls: readonly Note[]): CullsTold {
  const culled = new Set(culls.map(({ bag }) => bag));
  const looks = closerLooks(plan, bagLives(plan, [...notes, ...culls])).filter(({ near }) =>
    culled.has(near.replace(/ .*/, '')),
  );
  const gone = `${list([...culled])} ${culled.size === 1 ? 'is' : 'are'} no longer counted in visits and light figures.`;
  const look = `A closer look at ${nearWords(looks)} every 2 days for 10 days: see \`visits\`.`;
  return {
    lines: looks.length > 0 ? [gone, look] : [gone],
    closer: looks.map(({ life }) => life.name),
  };
}

/** Few bags by name and place, many by their places. */
function nearWords(looks: readonly CloserLook[]): string {
  const near = new Map(looks.map(({ life, place }) => [place, `${life.name} (${place})`]));
  return near.size > NAMES_MAX ? placeWords([...near.keys()]) : list([...near.values()]);
}

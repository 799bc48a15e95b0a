/** What a cull brings with it, told the same by `cull` and by `note --cull`; entries as JSON. */

import { isoDate } from '../../../../shared/civil.ts';
import { bagLives } from '../../../answers/bags/lives.ts';
import { type CloserLook, closerLooks } from '../../../answers/book/culls.ts';
import type { Note } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { list } from '../../../words/lists.ts';
import { NAMES_MAX, placeWords } from '../../../words/places.ts';
import type { OpenBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';

/** An entry as JSON prints it. */
export function noteJson({ day, sealed, ...rest }: Note): Readonly<Record<string, unknown>> {
  return { ...rest, day: isoDate(day), ...(sealed && { roster: sealed.roster }) };
}

/** Few bags by name and place, many by their places. */
function nearWords(looks: readonly CloserLook[]): string {
  const near = new Map(looks.map(({ life, place }) => [place, `${life.name} (${place})`]));
  return near.size > NAMES_MAX ? placeWords([...near.keys()]) : list([...near.values()]);
}

/** What was kept, and what follows. */
export async function tellCulls(book: OpenBook, culls: readonly Note[], json: boolean): Promise<void> {
  const { plan, notes } = book;
  const lives = bagLives(plan, [...notes, ...culls]);
  const culled = new Set(culls.map(({ bag }) => bag));
  const looks = closerLooks(plan, lives).filter(({ near }) => culled.has(near.replace(/ .*/, '')));
  const near = nearWords(looks);
  if (json) {
    const [first] = culls;
    const closer = looks.map(({ life }) => life.name);
    sayJson({ note: first && noteJson(first), notes: culls.map(noteJson), closerLooks: closer });
    return;
  }
  for (const line of noteLines(culls, plan.units)) say(`Kept: ${line}`);
  say(
    `${list([...culled])} ${culled.size === 1 ? 'is' : 'are'} no longer counted in visits and light figures.`,
  );
  if (looks.length > 0) say(`A closer look at ${near} every 2 days for 10 days: see \`visits\`.`);
}

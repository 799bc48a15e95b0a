/** What a cull brings with it, told the same by `cull` and by `note --cull`; entries as JSON. */

import { isoDate } from '../../../../shared/civil.ts';
import { cullsTold } from '../../../answers/book/culls-told.ts';
import type { Note } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import type { OpenBook } from '../../../jobs/book/open-book.ts';
import { say, sayJson } from '../../terminal.ts';

/** An entry as JSON prints it. */
export function noteJson({ day, sealed, before, ...rest }: Note): Readonly<Record<string, unknown>> {
  const had = before === undefined ? {} : { before: isoDate(before) };
  return { ...rest, day: isoDate(day), ...had, ...(sealed && { roster: sealed.roster }) };
}

/** What was kept, and what follows. */
export function tellCulls({ plan, notes }: OpenBook, culls: readonly Note[], json: boolean): void {
  const { lines, closer } = cullsTold(plan, notes, culls);
  if (json) {
    const [first] = culls;
    sayJson({ note: first && noteJson(first), notes: culls.map(noteJson), closerLooks: closer });
    return;
  }
  for (const line of [...noteLines(culls, plan.units).map((one) => `Kept: ${one}`), ...lines]) say(line);
}

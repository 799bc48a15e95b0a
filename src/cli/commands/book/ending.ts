/**
 * The offer to end zones that have no bag left: `ended` written into the plan.
 *
 * Always holds: it is written only when asked for, by `--end` or by answering
 * yes; what changes in the file is shown.
 */

import { writeEnded } from '../../../../compiler/write/change-batch.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { bagLives } from '../../../answers/bags/lives.ts';
import { type Ending, endings } from '../../../answers/book/culls.ts';
import type { Note } from '../../../answers/book/note.ts';
import { list } from '../../../words/lists.ts';
import type { OpenBook } from '../../options/book.ts';
import { changedLines, FLASH_REMINDER, type PlanChange, tryChange, writeChange } from '../../plan-change.ts';
import { askYes, canAsk, say } from '../../terminal.ts';

export const END_OPTION = [
  '--end',
  'write `ended` into the plan for zones that have no bag left (else you are asked)',
] as const;

/** What an offer came to. */
export interface Ended {
  readonly zones: readonly string[];
  /** False: it was only offered. */
  readonly isWritten: boolean;
}

/** Offers to end what has no bag left once `entries` are in the book; undefined: nothing has. */
export async function offerEnding(
  book: OpenBook,
  entries: readonly Note[],
  options: { readonly end?: boolean; readonly json?: boolean },
): Promise<Ended | undefined> {
  const { plan, notes, day, path } = book;
  const found = endings(plan, bagLives(plan, [...notes, ...entries]), day);
  const mine = found.filter(
    ({ batch }) => entries.length === 0 || entries.some((one) => one.batch === batch),
  );
  const zones = mine.map(({ zone }) => zone);
  const [first] = mine;
  if (!first) return undefined;
  const change = tryChange(path, (text) => written(text, mine), {
    what: 'Nothing was ended',
    day: first.day,
  });
  if (options.json !== true) {
    const [s, is] = zones.length === 1 ? ['', 'has'] : ['s', 'have'];
    say(
      `Zone${s} ${list(zones)} ${is} no bag left. To stop the lamps and visits there, ${path} would change:`,
    );
    for (const line of changedLines(change)) say(`  ${line}`);
  }
  const isWritten =
    options.end === true || (options.json !== true && canAsk() && (await askYes('Write that?')));
  if (isWritten) write(change, options.json === true);
  else if (options.json !== true) say(`Not written. To write it: leanward cull ${path} --end.`);
  return { zones, isWritten };
}

function write(change: PlanChange, isQuiet: boolean): void {
  writeChange(change);
  if (isQuiet) return;
  say(`Written into ${change.path}.`);
  say(FLASH_REMINDER(change.path));
}

/** The text with every ending written; zones of one batch and day together. */
function written(text: string, all: readonly Ending[]): string | undefined {
  const groups = new Map<string, Ending[]>();
  for (const one of all) {
    const key = `${one.batch} ${isoDate(one.day)}`;
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const days = (batch: string): number =>
    new Set(all.filter((one) => one.batch === batch).map(({ day }) => day)).size;
  return [...groups.values()].reduce<string | undefined>((now, [first, ...more]) => {
    if (!first || now === undefined) return now;
    const zones = [first, ...more].map(({ zone }) => zone);
    // One day for the whole batch only where all its zones emptied on that day.
    const isWhole = first.isWhole && days(first.batch) === 1;
    return writeEnded(now, first.batch, { zones, isWhole, day: first.day });
  }, text);
}

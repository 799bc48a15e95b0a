/** The grow book as the commands that write into it open it. */

import { type ArchiveOptions, archiveToRead } from '../../jobs/archive.ts';
import { type OpenBook, withOpenBook } from '../../jobs/book/open-book.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { todayOf } from '../../jobs/visits/today.ts';

/** What every command of the book takes. */
export interface BookOptions extends ArchiveOptions {
  readonly day?: string;
  readonly json?: boolean;
}

export const DAY_OPTION = ['--day <date>', 'the day it is about (today)'] as const;

/** Opens the book of a plan and lets `act` use it; two commands at once write one after the other. */
export async function withBook<T>(
  path: string,
  options: BookOptions,
  act: (book: OpenBook) => Promise<T>,
): Promise<T> {
  const plan = readPlanFile(path);
  const where = await archiveToRead(path, options);
  const day = await todayOf(plan, where, options.day);
  return withOpenBook({ path, plan, where, day }, act);
}

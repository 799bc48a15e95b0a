/**
 * A table for a board of limited room: light whole, visits as far as they fit.
 *
 * Always holds: no light is ever left out; of the visits every one before some day
 * is in and none from that day on, so that the first day without its reminders can
 * be named; a table that fits with all its visits is not touched.
 */

import { itemAt } from '../../shared/assert.ts';
import { MAX_PATTERNS, MAX_TRACKS, type Table } from '../../shared/table.ts';
import { type Encoded, encodeTable } from '../../shared/table-encode.ts';
import { type CivilDay, civilDay } from '../../shared/units.ts';
import type { VisitOccurrence } from '../timeline/visit.ts';
import { type AssembleInput, assembleTable } from './assemble.ts';

export interface FittedTable {
  readonly table: Table;
  readonly encoded: Encoded;
  /** The last day whose reminders are all in; undefined: all are. */
  readonly remindersUntil: CivilDay | undefined;
  /** Whether it fits. If not, even light alone is too much, and it holds no visits. */
  readonly fits: boolean;
}

/**
 * The table of one controller within `limit` bytes. Where room is short, visits that are over by `from`
 * (undefined: none) go first, then those that are due last.
 */
export function fitTable(input: AssembleInput, limit: number, from: CivilDay | undefined): FittedTable {
  const own = input.visits.filter((visit) => visit.controller === input.controller);
  const whole = attempt(input, own, limit);
  if (whole.fits || own.length === 0) return { ...whole, remindersUntil: undefined };
  const coming = own.filter((visit) => from === undefined || visit.day + visit.days > from);
  const current = attempt(input, coming, limit);
  if (current.fits) return { ...current, remindersUntil: undefined };
  return untilFull(input, coming, limit);
}

/** As many days of visits as fit, by halving. */
function untilFull(input: AssembleInput, coming: readonly VisitOccurrence[], limit: number): FittedTable {
  const days = [...new Set(coming.map((visit) => visit.day))].sort((a, b) => a - b);
  const withDays = (count: number): Attempt => {
    const end = days[count] ?? Number.POSITIVE_INFINITY;
    return attempt(
      input,
      coming.filter((visit) => visit.day < end),
      limit,
    );
  };
  let [most, tooMany] = [0, days.length];
  let best = withDays(0);
  while (tooMany - most > 1) {
    const middle = Math.floor((most + tooMany) / 2);
    const tried = withDays(middle);
    if (tried.fits) [most, best] = [middle, tried];
    else tooMany = middle;
  }
  const missing = itemAt(days, most);
  return { ...best, remindersUntil: civilDay(missing - 1) };
}

interface Attempt {
  readonly table: Table;
  readonly encoded: Encoded;
  readonly fits: boolean;
}

function attempt(input: AssembleInput, visits: readonly VisitOccurrence[], limit: number): Attempt {
  const table = assembleTable({ ...input, visits });
  const encoded = encodeTable(table);
  const { patterns, tracks } = table;
  const fits =
    encoded.bytes.length <= limit && patterns.length <= MAX_PATTERNS && tracks.length <= MAX_TRACKS;
  return { table, encoded, fits };
}

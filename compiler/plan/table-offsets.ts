/**
 * The UTC offsets that a schedule table carries, in the form the civil
 * arithmetic takes: what the controller itself goes by.
 */

import type { Table } from '../../shared/table.ts';
import { utcSeconds } from '../../shared/units.ts';
import type { UtcOffsets } from './utc-offsets.ts';

const DAY = 86_400;

export const UTC_OFFSETS: UtcOffsets = { initialQuarters: 0, changes: [] };

/** Offsets of a table; UTC without one. */
export function offsetsOfTable(table: Table | undefined): UtcOffsets {
  if (table === undefined) return UTC_OFFSETS;
  const base = table.baseDay * DAY;
  return {
    initialQuarters: table.initialQuarters,
    changes: table.changes.map(({ minute, quarters }) => ({ at: utcSeconds(base + minute * 60), quarters })),
  };
}

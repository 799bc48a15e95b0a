/**
 * What each part of a table costs in bytes, for the bench, the listing and the
 * word about a plan that is too large.
 */

import type { TablePart } from '../../shared/table.ts';
import type { Encoded } from '../../shared/table-encode.ts';

/** Bytes by part; `schedule` is offsets, patterns, tracks and bindings together, heads included. */
export interface TableCosts {
  readonly total: number;
  readonly schedule: number;
  readonly parts: Readonly<Record<TablePart, number>>;
}

/** Adds up an encoded table's fields. */
export function tableCosts(encoded: Encoded): TableCosts {
  const parts: Record<TablePart, number> = {
    frame: 0,
    offsets: 0,
    patterns: 0,
    tracks: 0,
    bindings: 0,
    limits: 0,
    visits: 0,
    pulse: 0,
    room: 0,
  };
  for (const field of encoded.fields) parts[field.part] += field.bytes.length;
  const schedule = parts.offsets + parts.patterns + parts.tracks + parts.bindings;
  return { total: encoded.bytes.length, schedule, parts };
}

/**
 * Words set out in columns.
 */

import { itemAt } from '../../shared/assert.ts';

/** Columns of words, padded; the last column is left as it is. */
export function columns(rows: readonly (readonly string[])[], gap = 2): string[] {
  const widths: number[] = [];
  for (const row of rows) {
    for (const [i, cell] of row.entries()) widths[i] = Math.max(widths[i] ?? 0, cell.length);
  }
  return rows.map((row) =>
    row
      .map((cell, i) => (i === row.length - 1 ? cell : cell.padEnd(itemAt(widths, i) + gap)))
      .join('')
      .trimEnd(),
  );
}

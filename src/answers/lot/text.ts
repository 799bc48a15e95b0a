/** The record of a lot for the terminal. */

import { columns } from '../../words/columns.ts';
import type { LotRecord } from './record.ts';

/** The record in lines. */
export function recordText({ batch, parts, photos }: LotRecord): string {
  const lines = parts.flatMap(({ heading, head, rows, lines: more }) => {
    const table = head.length > 0 && rows.length > 0 ? [head, ...rows] : rows;
    return ['', heading, ...columns(table).map((line) => `  ${line}`), ...more.map((line) => `  ${line}`)];
  });
  const shown = photos.length === 0 ? [] : ['', `Photos: ${photos.map(({ file }) => file).join(', ')}`];
  return [batch, ...lines, ...shown].join('\n');
}

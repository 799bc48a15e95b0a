/**
 * The listing beside a table: offset, bytes and meaning, as an assembler prints.
 */

import type { Encoded } from '../../shared/table-encode.ts';
import { tableCosts } from './costs.ts';

/** The text of a `.lst` file; one line a field, sizes at the end. */
export function tableListing(title: string, encoded: Encoded): string {
  const rows = encoded.fields.map((field) => {
    const hex = [...field.bytes].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
    return `${field.offset.toString(16).padStart(4, '0')}  ${hex.padEnd(23)}  ${field.meaning}`;
  });
  const costs = tableCosts(encoded);
  const parts = Object.entries(costs.parts)
    .filter(([, bytes]) => bytes > 0)
    .map(([part, bytes]) => `${part} ${bytes}`)
    .join(', ');
  return [
    `${title}: schedule table, offsets and bytes in hexadecimal`,
    '',
    ...rows,
    '',
    `${costs.total} bytes: ${parts}`,
    `schedule part (offsets, patterns, tracks, bindings): ${costs.schedule} bytes`,
    '',
  ].join('\n');
}

/**
 * `npm run bench`: measured figures, never asserted in the tests. Names of
 * parts as arguments choose among them.
 */

import type { Row } from './row.ts';

const PARTS: Readonly<Record<string, () => Promise<{ rows(): Promise<Row[]> }>>> = {
  table: () => import('./table.bench.ts'),
  speed: () => import('./speed.bench.ts'),
  firmware: () => import('./firmware.bench.ts'),
  loaders: () => import('./loaders.bench.ts'),
  archive: () => import('./archive.bench.ts'),
  light: () => import('./light.bench.ts'),
  bags: () => import('./bags.bench.ts'),
  desk: () => import('./desk.bench.ts'),
};

const wanted = process.argv.slice(2);
let missed = 0;
for (const [part, load] of Object.entries(PARTS)) {
  if (wanted.length > 0 && !wanted.includes(part)) continue;
  console.log(`\n${part}`);
  for (const { name, value, limit, met } of await (await load()).rows()) {
    const held = limit === undefined ? '' : `  (${limit}${met ? '' : ': MISSED'})`;
    console.log(`  ${name.padEnd(62)} ${value.padStart(12)}${held}`);
    if (met === false) missed++;
  }
}
if (missed > 0) console.log(`\n${missed} limits missed`);
process.exitCode = missed > 0 ? 1 : 0;

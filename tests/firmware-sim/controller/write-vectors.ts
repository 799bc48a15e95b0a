/**
 * Writes `shared/vectors/*.json` anew.
 *
 * Usage: node tests/support/run-ts.js tests/firmware-sim/controller/write-vectors.ts
 */

import { writeFileSync } from 'node:fs';
import { VECTOR_FILES, vectorText } from './vectors.ts';

for (const [name, make] of Object.entries(VECTOR_FILES)) {
  writeFileSync(new URL(`../../../shared/vectors/${name}`, import.meta.url), vectorText(make()));
}

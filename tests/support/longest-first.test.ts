/** Files that begin first are there: one that was renamed would begin last again. */

import { existsSync } from 'node:fs';
import { expect, it } from 'vitest';
import { LONGEST } from './longest-first.ts';

it.each(LONGEST)('%s', (name) => {
  expect(existsSync(new URL(`../${name}.test.ts`, import.meta.url))).toBe(true);
});

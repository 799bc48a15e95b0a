/** That what is counted is so: a fault that tests catch, one that they do not, one after the other. */

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, it } from 'vitest';
import { mutantsOf } from './mutants.ts';
import type { Faulty } from './plugin.ts';
import { Runner } from './runners.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const runner = new Runner(ROOT);
afterAll(() => runner.end());

/** The fault of a source that changes `what` in a line. */
function fault(source: string, what: string, inLine: string): Faulty {
  const file = `${ROOT}${source}`;
  const text = readFileSync(file, 'utf8');
  const lines = text.split('\n');
  const found = mutantsOf(text).find(
    ({ start, end, line }) => text.slice(start, end) === what && lines[line - 1]?.includes(inLine),
  );
  if (!found) throw new Error(`no ${what} in ${inLine}`);
  return { ...found, file };
}

it('a fault is caught by tests that see it, and nothing of it is left for the next', async () => {
  const wrong = fault('src/link/frame.ts', '===', 'crc16(');
  expect(await runner.try(['tests/src/link/frame.test.ts'], wrong)).toBe('caught');
  // Other tests, which see nothing of either.
  const elsewhere = ['tests/mutants/mutants.test.ts'];
  expect(await runner.try(elsewhere, wrong)).toBe('survived');
  expect(await runner.try(['tests/src/link/frame.test.ts'], { ...wrong, by: '===' })).toBe('survived');
});

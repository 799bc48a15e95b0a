/**
 * Three kinds of tests, told apart by the file's name (DEVELOPERS.md, Tests):
 * `*.test.ts` answer at once, `*.slow.test.ts` start programs, emulate the chip
 * or draw many examples, `*.long.test.ts` take minutes.
 *
 * Always holds: a time limit is there to end a test that hangs, never to judge
 * a slow machine: it is at least ten times what the slowest test of its kind takes.
 */

import { defineConfig } from 'vitest/config';
import { mutantPlugin } from './tests/mutants/plugin.ts';
import LongestFirst from './tests/support/longest-first.ts';

const SLOW = 'tests/**/*.slow.test.ts';
const LONG = 'tests/**/*.long.test.ts';
const MINUTE = 60_000;

/** A kind of tests; `limit` in ms holds for each test and each hook. */
function kind(name: string, include: string, limit: number, more: object = {}) {
  return {
    extends: true as const,
    test: { name, include: [include], testTimeout: limit, hookTimeout: limit, ...more },
  };
}

/** Unit tests share what they have loaded, which halves their time: none may change a module. */
const SHARED = { exclude: [SLOW, LONG], isolate: false, pool: 'threads' };

const mutant = mutantPlugin();

export default defineConfig({
  ...(mutant ? { plugins: [mutant] } : {}),
  test: {
    // Left alone, Vitest keeps one core free: half of a small machine. With more workers than cores
    // programs of others give up on an emulated chip that answers late (avrdude did).
    maxWorkers: '100%',
    sequence: { sequencer: LongestFirst },
    setupFiles: ['tests/support/setup.ts'],
    reporters: ['default', './tests/support/totals-reporter.ts'],
    projects: [
      kind('unit', 'tests/**/*.test.ts', 2 * MINUTE, SHARED),
      kind('slow', SLOW, 15 * MINUTE),
      kind('long', LONG, 120 * MINUTE),
    ],
  },
});

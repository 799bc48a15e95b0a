/**
 * Three of the four evaluators side by side on plans: the intent (Temporal on
 * the resolved plan), the TypeScript controller, the C core as WebAssembly.
 */

import fc from 'fast-check';
import { expect } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { planDays } from '../../compiler/plan/on-a-day.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { utcSeconds } from '../../shared/units.ts';
import { coreWith, levelsAt } from '../boards/firmware/core-table.ts';
import { hex } from '../firmware-sim/controller/vectors.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { intendedLight, type Lit } from './intent.ts';
import { RANDOM_FILES, randomPlan } from './random-plan.ts';

const DAY = 86_400;
const { core, open } = coreWith();

/** What is meant, output by output, and the table that says it; UTC seconds. */
interface Meant {
  readonly lit: readonly (readonly Lit[])[];
  readonly bytes: Uint8Array;
  readonly from: number;
  readonly until: number;
}

/** What a plan's one table and its intent say of the whole grow. */
function courseOf(text: string): Meant {
  const { plan, timeline, tables } = compilePlan(text, {
    boards: BOARDS,
    photometry: RANDOM_FILES,
    advise: false,
  });
  expect(tables).toHaveLength(1);
  const { first, end } = sure(planDays(sure(plan)));
  const lit = Array.from({ length: 8 }, (_, at) =>
    intendedLight(sure(plan).timezone, sure(timeline).days, 0, at + 1),
  );
  return { lit, bytes: itemAt(tables, 0).encoded.bytes, from: (first - 2) * DAY, until: (end + 2) * DAY };
}

/** Output bytes the intent asks for at an instant. */
function intended(lit: readonly (readonly Lit[])[], utc: number): string {
  return hex(
    lit.map((output) =>
      output.reduce((byte, one) => (one.from <= utc && utc < one.until ? Math.max(byte, one.byte) : byte), 0),
    ),
  );
}

/** Every second at which any of the evaluators could change, and the second before. */
function instants(
  lit: readonly (readonly Lit[])[],
  changes: readonly { utc: number }[],
  from: number,
  until: number,
): number[] {
  const edges = [...lit.flat().flatMap((one) => [one.from, one.until]), ...changes.map(({ utc }) => utc)];
  const all = new Set(edges.flatMap((utc) => [utc - 1, utc]).filter((utc) => utc >= from && utc < until));
  return [...all].sort((a, b) => a - b);
}

/** Holds the three to each other over the whole grow of a plan, at every edge; gives how many instants that were. */
export function agree(text: string): number {
  return agreeOn(courseOf(text));
}

/** The same on a table and what it is to say. */
export function agreeOn({ lit, bytes, from, until }: Meant): number {
  expect(open(bytes)).toBe(true);
  const changes = [...traceTable(bytes, from, until)];
  let at = 0;
  const seconds = instants(lit, changes, from, until);
  for (const utc of seconds) {
    while (at + 1 < changes.length && itemAt(changes, at + 1).utc <= utc) at++;
    const wanted = intended(lit, utc);
    if (hex(itemAt(changes, at).levels) !== wanted || levelsAt(core, utc) !== wanted) {
      expect({ utc, controller: hex(itemAt(changes, at).levels), core: levelsAt(core, utc) }).toEqual({
        utc,
        controller: wanted,
        core: wanted,
      });
    }
  }
  return seconds.length;
}

/** The same on so many random plans. */
export function agreeOnRandomPlans(runs: number): void {
  fc.assert(
    fc.property(randomPlan, (text) => {
      agree(text);
    }),
    { numRuns: runs },
  );
}

/**
 * Holds core and controller to each other at every second of the pantry grow from `from` to before `until`
 * (left out: all of it), or at every `step`th.
 */
export function agreeAtEverySecond(from?: number, until?: number, step = 1): void {
  const { bytes, ...whole } = courseOf(samplePlan('pantry'));
  const [begin, end] = [from ?? whole.from, until ?? whole.until];
  expect(open(bytes)).toBe(true);
  const changes = [...traceTable(bytes, begin, end)];
  let at = 0;
  let differing = 0;
  for (let utc = begin; utc < end; utc += step) {
    while (at + 1 < changes.length && itemAt(changes, at + 1).utc <= utc) at++;
    const { levels } = itemAt(changes, at);
    for (let output = 1; output <= 8; output++) {
      if (core.levelAt(output, utcSeconds(utc - output + 1)) !== levels[output - 1]) differing++;
    }
  }
  expect(changes.length).toBeGreaterThan(8);
  expect(differing).toBe(0);
}

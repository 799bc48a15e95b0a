import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { nothingKnown } from '../../compiler/light/known.ts';
import { RANDOM_FILES, randomPlan } from '../equivalence/random-plan.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { share } from '../support/share.ts';

/** What a grower and a controller get of a plan. */
function outcome(text: string, known = nothingKnown()) {
  const { findings, tables } = compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES, known });
  return { findings, bytes: tables.map(({ encoded }) => Buffer.from(encoded.bytes).toString('hex')) };
}

describe('a plan that is compiled with light known from other plans', () => {
  it('comes out as without, for random plans one after another', () => {
    fc.assert(
      fc.property(fc.array(randomPlan, { minLength: 2, maxLength: 3 }), (texts) => {
        const known = nothingKnown();
        for (const text of texts) expect(outcome(text, known)).toEqual(outcome(text));
      }),
      { numRuns: share(8, 100) },
    );
  });

  it('comes out as without, while a lamp is moved, turned up and moved back', () => {
    const pantry = samplePlan('pantry');
    const known = nothingKnown();
    const moved = pantry.replace('from: [10 mm, 20 mm, 330 mm]', 'from: [10 mm, 20 mm, 300 mm]');
    const brighter = moved.replace('flux: 480 lm', 'flux: 700 lm');
    expect(new Set([pantry, moved, brighter]).size).toBe(3);
    for (const text of [pantry, moved, brighter, pantry]) expect(outcome(text, known)).toEqual(outcome(text));
  });
});

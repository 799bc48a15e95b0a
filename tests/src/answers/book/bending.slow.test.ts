/** The fit of the bending rate through the real estimate of the likely lean. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { estimateLean } from '../../../../compiler/lean/estimate.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { civilDay } from '../../../../shared/units.ts';
import { bendingRate, bendingWords } from '../../../../src/answers/book/bending.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { boards, sampleText } from '../visits/plan.ts';

const compiled = compilePlan(sampleText('pantry'), { boards });
const plan = sure(compiled.plan);
const { steered } = sure(compiled.timeline);

/** Angles that growth would show if it bent `factor` times as fast, read off every third day of the climb. */
function notesFor(factor: number, errors: readonly number[]): Note[] {
  const course = sure(steered.courses.find((one) => one.zone === 0));
  const pull = plan.growth.pull.mid * factor;
  const growth = { ...plan.growth, pull: { low: pull, mid: pull, high: pull } };
  const lean = sure(estimateLean({ ...plan, growth }, course, steered.treatments));
  return errors.map((error, i) => ({
    ...{ id: String(i), plan: 'pantry', batch: 'early', zone: 'A', bag: 'A1', writtenMs: 0 },
    ...{ day: civilDay(lean.firstDay + 2 + 3 * i), kind: 'note', why: undefined },
    leanDeg: itemAt(lean.angle, 2 + 3 * i).mid + error,
  }));
}

it('finds the rate again, and its band holds it when angles are read badly', () => {
  const exact = bendingRate(plan, steered, notesFor(1.5, [0, 0, 0, 0, 0, 0]));
  expect(exact.ok && exact.factor).toBeCloseTo(1.5, 1);
  const rough = bendingRate(plan, steered, notesFor(1.5, [3, -2, 1, -3, 2, -1]));
  expect(rough.ok && rough.low < 1.5 && 1.5 < rough.high).toBe(true);
  expect(bendingWords(plan, rough)).toMatch(
    /^Bending rate: about \d+\.\d°\/day \(95 %: .* from 6 angles; the estimate has 7\./,
  );
});

it('leaves out angles that the estimate does not reach, and says when too few are left', () => {
  const notes = notesFor(1, [0, 0, 0, 0, 0]).map((note, i) => (i < 2 ? { ...note, batch: 'late' } : note));
  const fit = bendingRate(plan, steered, notes);
  expect(fit).toEqual({ ok: false, count: 3, why: 'too few' });
  expect(bendingWords(plan, fit)).toContain('3 usable angles so far, too few to tell');
});

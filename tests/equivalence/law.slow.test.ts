/**
 * The light of random plans near clock changes against the law of README's "What
 * a day is", worked out in Python with zoneinfo (`light_by_law.py`): an oracle in
 * another language, with another reading of the IANA data, that knows no table.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { BOARDS } from '../support/boards.ts';
import { needs } from '../support/needs.ts';
import { askPython } from '../support/python.ts';
import { changePlan, type PlanFacts } from './change-plan.ts';

const DAY = 86_400;

/** Lit stretches [from, until) of an output, UTC seconds. */
type Stretches = [number, number][];

/** What the plan's table gives each output. */
function lightOf(text: string): Stretches[] {
  const { findings, tables } = compilePlan(text, { boards: BOARDS, advise: false });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const table = tables[0];
  if (!table) throw new Error('no table was made');
  const from = (table.table.baseDay - 2) * DAY;
  const light: Stretches[] = Array.from({ length: 8 }, () => []);
  const since = new Map<number, number>();
  for (const { utc, levels } of traceTable(table.encoded.bytes, from, from + 120 * DAY)) {
    levels.forEach((level, output) => {
      const begun = since.get(output);
      if (level > 0 && begun === undefined) since.set(output, utc);
      if (level > 0 || begun === undefined) return;
      light[output]?.push([begun, utc]);
      since.delete(output);
    });
  }
  expect(since.size).toBe(0);
  return light;
}

needs(['python3-zoneinfo'], 'light near clock changes', () => {
  it('is what the written law gives, to the second, on 420 random plans', () => {
    const plans = fc.sample(changePlan, 420);
    const lawful = askPython<PlanFacts, Stretches[]>(
      'tests/equivalence/light_by_law.py',
      plans.map(({ facts }) => facts),
    );
    let stretches = 0;
    plans.forEach(({ text }, at) => {
      const shown = lightOf(text);
      stretches += shown.flat().length;
      if (JSON.stringify(shown) !== JSON.stringify(lawful[at])) {
        expect({ text, light: shown }).toEqual({ text, light: lawful[at] });
      }
    });
    expect(stretches).toBeGreaterThan(2000);
  });
});

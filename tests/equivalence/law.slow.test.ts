/**
 * The light of random plans near clock changes against the law of README's "What
 * a day is", worked out in Python with zoneinfo (`light_by_law.py`): an oracle in
 * another language, with another reading of the IANA data, that knows no table.
 *
 * Node carries its own copy of the IANA data, the system another. When a country
 * has just changed its law the two differ, and neither says anything on ours: such
 * zones are left out, and more than a few of them are a fault.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { offsetsFor, quartersAt } from '../../compiler/plan/utc-offsets.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { sure } from '../../shared/assert.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { utcSeconds } from '../../shared/units.ts';
import { BOARDS } from '../support/boards.ts';
import { needs } from '../support/needs.ts';
import { askPython } from '../support/python.ts';
import { share } from '../support/share.ts';
import { changeDays, changePlan, cutRound, type PlanFacts, textOf } from './change-plan.ts';
import { ZONES } from './zones.ts';

const DAY = 86_400;

/** Zones whose offsets are the same hour by hour in Node's copy of the IANA data and in the system's. */
function zonesAgreed(): ReadonlySet<string> {
  const [from, until, step] = [
    sure(dayFromIso('2025-12-01')) * DAY,
    sure(dayFromIso('2028-07-01')) * DAY,
    3600,
  ];
  const theirs = askPython<object, number[]>(
    'tests/equivalence/offsets_by_zoneinfo.py',
    ZONES.map((zone) => ({ zone, from, until, step })),
  );
  return new Set(
    ZONES.filter((zone, at) => {
      const offsets = offsetsFor(zone, utcSeconds(from), utcSeconds(until));
      return sure(theirs[at]).every(
        (quarters, hour) => quarters === quartersAt(offsets, utcSeconds(from + step * hour)),
      );
    }),
  );
}

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
  const zones = zonesAgreed();
  const count = share(120, 420);

  it(`is what the written law gives, to the second, on ${count} random plans`, () => {
    expect(zones.size).toBeGreaterThanOrEqual(ZONES.length - 3);
    const plans = fc
      .sample(changePlan, 600)
      .filter(({ facts }) => zones.has(facts.timezone))
      .slice(0, count);
    expect(plans).toHaveLength(count);
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
    expect(stretches).toBeGreaterThan(4 * count);
  });

  it('is what the law gives where round-the-clock light is cut in the hour that a change adds', () => {
    const plans = [...zones].flatMap((timezone) =>
      changeDays(timezone).flatMap((day) =>
        [180, 480].flatMap((start) => [15, 45].map((early) => cutRound(timezone, day, start, early))),
      ),
    );
    const lawful = askPython<PlanFacts, Stretches[]>('tests/equivalence/light_by_law.py', plans);
    plans.forEach((facts, at) => {
      const text = textOf(facts);
      expect({ text, light: lightOf(text) }).toEqual({ text, light: lawful[at] });
    });
    expect(plans.length).toBeGreaterThan(150);
  });
});

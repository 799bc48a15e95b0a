/** A grow too large for its board: what is said to help is done, and then it fits. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import { itemAt } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';
import { day } from '../../support/read-plan.ts';

const ZONES = ['A', 'B', 'C', 'D', 'E', 'F'];

/** Stages of five days, no two with the same hours. */
function stages(zone: number, many: number, same: boolean): string[] {
  return Array.from({ length: many }, (_, n) => {
    const hours = same ? 8 : 4 + ((7 * zone + 3 * n) % 12);
    const start = same ? '08:00' : `0${(zone + n) % 8}:${String((13 * n + 7 * zone) % 60).padStart(2, '0')}`;
    return `    - { stage: s${n}, days: 5, photoperiod: ${hours} h, start: "${start}", level: [1 lx, 9000 lx], lean: upright }`;
  });
}

/** Six zones, each with a batch of its own; `many` stages in each. */
function plan(many: (zone: number) => number, { same = false, without = '' } = {}): string {
  const x = (n: number): string => `x: [${200 * n} mm, ${200 * n + 190} mm]`;
  return [
    ...['leanward: 1', 'place: { timezone: America/Halifax }', 'visits: { look: { every: 7 d } }'],
    'shelves: { long: { size: [1200 mm, 400 mm], clear: 500 mm } }',
    'bags: { small: { footprint: [100 mm, 100 mm], height: 300 mm, fill: 1 kg } }',
    'zones:',
    ...ZONES.map((name, n) => `  ${name}: { ${x(n)}, y: [100 mm, 300 mm], bags: [1, 1] }`),
    'lamps:',
    ...ZONES.map((name, n) => `  L${n}: { beside: ${name}, side: above, output: ${n + 1}, flux: 200 lm }`),
    'regimes:',
    ...ZONES.flatMap((name, n) => [`  of-${name}:`, ...stages(n, many(n), same)]),
    'batches:',
    ...ZONES.flatMap((name, n) =>
      name === without
        ? []
        : [`  b${name}: { sealed: 2026-0${n + 1}-05, zones: [${name}], regime: of-${name} }`],
    ),
    '',
  ].join('\n');
}

const tooLarge = (text: string, options = {}) => {
  const { findings, units } = compilePlan(text, { boards, ...options });
  expect(findings.filter(({ severity, code }) => severity === 'error' && code !== 'table-too-large')).toEqual(
    [],
  );
  return { units, found: ofCode(findings, 'table-too-large') };
};

it('a later day, one batch less, or the same hours make it fit, as it is said', () => {
  const many = (): number => 11;
  const { found, units } = tooLarge(plan(many));
  const { facts } = itemAt(found, 0);
  // 66 different days in 406 bytes: the size is not what is wrong, and is not said to be.
  expect(facts.bytes).toBeLessThan(facts.limit);
  expect(facts.tooMany).toEqual([{ part: 'patterns', count: 66, most: 63 }]);
  expect(facts.costs.reduce((sum, { bytes }) => sum + bytes, 0)).toBe(facts.bytes);
  const kinds = facts.remedies.map(({ kind }) => kind);
  expect(kinds).toEqual(['later-day', 'same-start', 'own-controller']);
  expect(tooLarge(plan(many, { same: true })).found).toEqual([]);
  for (const remedy of facts.remedies) {
    if (remedy.kind === 'later-day') {
      expect(tooLarge(plan(many), { fromDay: day(remedy.day) }).found).toEqual([]);
    } else if (remedy.kind === 'own-controller') {
      expect(tooLarge(plan(many, { without: remedy.batch.slice(1) })).found).toEqual([]);
    }
  }
  const { message, suggestion } = wordsOf(itemAt(found, 0), units);
  expect(message).toContain('has 66 different days of light; a table can have 63');
  expect(message).not.toContain('room for');
  expect(suggestion).toContain('the same start and photoperiod');
});

/**
 * What a lamp gives where its lumens are not written. Lumens of a watt: 683 · V(λ), CIE (V(660 nm) = 0.061,
 * V(555 nm) = 1; from memory); shares of LEDs are assumptions of ours.
 */

import { describe, expect, it } from 'vitest';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const read = (lamp: string) =>
  readPlan(
    `leanward: 1
place: { timezone: America/Chicago }
shelves:
  counter: { size: [36 in, 14 in], clear: 20 in }
zones:
  A: { bags: [3, 1] }
fixtures:
  bar: { strip: 34 in, power: 4 W, colour: red }
lamps:
  front: { beside: A, side: front, output: 1, ${lamp} }
bags:
  tall: { footprint: [8 in, 5 in], height: 15.5 in, fill: 5 lb }
batches:
  spring: { sealed: 2026-02-16 }
`,
    { boards },
  );
const flux = (lamp: string): number => itemAt(sure(read(lamp).plan).lamps, 0).flux;
const assumed = (lamp: string) =>
  sure(read(lamp).plan).assumed.find(({ path }) => path === 'lamps.front.flux');
const errors = (lamp: string) =>
  read(lamp).findings.flatMap(({ code, severity, facts }) =>
    severity === 'error' ? [[code, 'key' in facts && facts.key]] : [],
  );

describe('a lamp', () => {
  it('known in lumens a watt gives them for its watts', () => {
    expect(flux('power: 4 W, flux: 90 lm/W')).toBe(360);
    expect(assumed('power: 4 W, flux: 90 lm/W')).toBeUndefined();
    expect(errors('flux: 90 lm/W')).toEqual([['key-missing', 'power']]);
  });

  it('known in watts alone is taken as a white LED, with low confidence', () => {
    expect(flux('power: 4 W')).toBe(400);
    expect(assumed('power: 4 W')).toMatchObject({ value: '400 lm (100 lm/W)', confidence: 'low' });
  });

  it('known in watts and colour is counted by what the eye makes of that colour', () => {
    // 0.4 · 683 lm/W · V(660 nm) 0.061 = 16.7 lm/W.
    expect(flux('fixture: bar')).toBeCloseTo(4 * 0.4 * 683 * 0.061, 6);
    expect(assumed('fixture: bar')?.value).toBe('67 lm (17 lm/W)');
  });

  it('of which nothing is known says what is missing', () => {
    expect(errors('length: 34 in')).toEqual([['key-missing', 'flux']]);
  });
});

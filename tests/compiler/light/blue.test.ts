/** The colour of lamps: what bends beside what the eye sees, against published figures. */

import { describe, expect, it } from 'vitest';
import { checkLight } from '../../../compiler/checks/light.ts';
import { collect } from '../../../compiler/findings/collector.ts';
import { ACTION, actionAt, bendingShare, lumensPerWattAt, planckAt } from '../../../compiler/light/blue.ts';
import { lightField } from '../../../compiler/light/field.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { steerDays } from '../../../compiler/steer/choose.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { BOARDS } from '../../support/boards.ts';
import { daysOf } from './rack.ts';

/** Micromoles a second in a watt: λ / (N_A h c). */
const micromolesPerWatt = (nanometres: number): number => nanometres / 119.627;

describe('the eye', () => {
  it('sees 7 to 11 lx in a µmol of 450 to 460 nm (light.md, computed from CIE V(λ))', () => {
    for (const at of [450, 455, 460]) {
      const lux = lumensPerWattAt(at) / micromolesPerWatt(at);
      expect(lux).toBeGreaterThan(6.8);
      expect(lux).toBeLessThan(11.2);
    }
  });
  it('sees 50.26 lx in a µmol of illuminant A, 2856 K (light.md, from CIE 015:2018), to 1 %', () => {
    let [lumens, micromoles] = [0, 0];
    for (let at = 380; at <= 770; at += 5) lumens += planckAt(at, 2856) * lumensPerWattAt(at);
    // By trapezoids, as there: the two ends count half.
    for (let at = 400; at <= 700; at += 5) {
      const part = at === 400 || at === 700 ? 0.5 : 1;
      micromoles += part * planckAt(at, 2856) * micromolesPerWatt(at);
    }
    expect(lumens / micromoles / 50.26).toBeCloseTo(1, 2);
  });
});

describe('what bends', () => {
  it('is all of 450 nm and nothing of red (assumed from other fungi)', () => {
    expect([actionAt(400), actionAt(ACTION.full), actionAt(ACTION.none), actionAt(660)]).toEqual([
      1, 1, 0, 0,
    ]);
    expect(bendingShare({ kind: 'narrow', nanometres: 660 })).toBe(0);
  });
  it('is more the bluer the white, and much in a lux of blue', () => {
    const share = (kelvin: number) => bendingShare({ kind: 'white', kelvin });
    expect(bendingShare(undefined)).toBe(1);
    expect(share(4000)).toBeCloseTo(1, 12);
    expect(share(2700)).toBeLessThan(0.7);
    expect(share(6500)).toBeGreaterThan(1.4);
    expect(bendingShare({ kind: 'narrow', nanometres: 455 })).toBeGreaterThan(20);
  });
});

const plan = (colour: string, flux: number) => `leanward: 1
place: { timezone: Europe/Lisbon }
shelves: { counter: { size: [600 mm, 450 mm], clear: 520 mm } }
zones: { A: { x: [100 mm, 500 mm], y: [60 mm, 390 mm], bags: [1, 1] } }
lamps:
  left: { strip: { from: [10 mm, 20 mm, 330 mm], to: [10 mm, 430 mm, 330 mm] }, facing: right, output: 1, flux: ${flux} lm${colour} }
bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg, film: { passes: 0.7, scatters: 0.4 } } }
regimes: { plain: [ { stage: climb, days: 20, photoperiod: 12 h, start: 08:00, level: [300 lx, 1500 lx], lean: { hold: left } } ] }
batches: { spring: { sealed: 2026-02-16, regime: plain } }
`;

function look(colour: string, flux: number) {
  const { plan: made, findings } = readPlan(plan(colour, flux), { boards: BOARDS });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const rack = sure(made);
  const field = lightField(rack);
  const days = daysOf(rack);
  const steered = steerDays(rack, field, days);
  const told = collect((report) => checkLight(rack, field, days, steered, { advise: false }, report));
  const treatment = itemAt(steered.treatments, 0);
  return {
    codes: told.map(({ code }) => code),
    facts: told.map(({ facts }) => facts),
    figures: treatment.figures,
  };
}

describe('in a plan', () => {
  it('red at 500 lx is told as no pull, and the zone as not lit', () => {
    const { codes, facts } = look(', colour: red', 790);
    expect(codes).toContain('light-no-pull');
    expect(codes).toContain('light-unlit');
    const { lux } = facts[codes.indexOf('light-no-pull')] as { lux: number };
    expect(lux).toBeGreaterThan(500);
  });
  it('blue of 86 lx is not too dim; the same lux of white is', () => {
    const white = look('', 50);
    const blue = look(', colour: 455 nm', 50);
    expect(blue.figures.brightestByEye).toBeCloseTo(white.figures.level.high, 0);
    expect(white.figures.level.high).toBeLessThan(100);
    expect(white.codes.some((code) => code === 'light-level' || code === 'light-unlit')).toBe(true);
    expect(blue.codes.filter((code) => code === 'light-level' || code === 'light-unlit')).toEqual([]);
  });
  it('white of the reference is as white without a word', () => {
    const [said, silent] = [look(', colour: 4000 K', 500), look(', colour: white', 500)];
    expect(said.figures.level.low).toBeCloseTo(silent.figures.level.low, 1);
  });
  it('a colour nobody knows is an error at its place', () => {
    const { findings } = readPlan(plan(', colour: bleu', 500), { boards: BOARDS });
    expect(findings.filter(({ severity }) => severity === 'error')).toHaveLength(1);
  });
});

/**
 * Spectrum files: what a tabulated spectrum bends against the colour it is of, and what is refused.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandsOf } from '../../../compiler/advice/bands.ts';
import { bendingOfLamps, spectrumBending } from '../../../compiler/light/bending.ts';
import { bendingShare } from '../../../compiler/light/blue.ts';
import { lightField } from '../../../compiler/light/field.ts';
import { readSpectrum } from '../../../compiler/light/spectrum.ts';
import type { LampColour } from '../../../compiler/plan/plan.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { steerDays } from '../../../compiler/steer/choose.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS } from '../../support/boards.ts';
import { daysOf, strip } from './rack.ts';

const bending = (text: string) => spectrumBending(sure(readSpectrum(text).spectrum));
const white = (kelvin: number) => bendingShare({ kind: 'white', kelvin });

/** CIE standard illuminant A, relative, 380 to 780 nm every 10 nm (CIE 015:2018, from memory). */
const ILLUMINANT_A = [
  9.7951, 12.0853, 14.708, 17.6753, 20.995, 24.6709, 28.7027, 33.0859, 37.8121, 42.8693, 48.2423, 53.9132,
  59.8611, 66.0635, 72.4959, 79.1326, 85.947, 92.912, 100, 107.184, 114.436, 121.731, 129.043, 136.346,
  143.618, 150.836, 157.979, 165.028, 171.963, 178.769, 185.429, 191.931, 198.261, 204.409, 210.365, 216.12,
  221.667, 227, 232.115, 237.008, 241.675,
];

/** A glowing body by Planck's law in SI units (h, c, k exact since 2019), lines of `nm, power`. */
function planckFile(kelvin: number, step: number, between = ', '): string {
  const [h, c, k] = [6.626_070_15e-34, 299_792_458, 1.380_649e-23];
  const lines: string[] = [];
  for (let nm = 380; nm <= 780; nm += step) {
    const m = nm * 1e-9;
    const power = (2 * h * c ** 2) / m ** 5 / Math.expm1((h * c) / (m * k * kelvin));
    lines.push(`${nm}${between}${power.toPrecision(6)}`);
  }
  return lines.join('\n');
}

const peak = (nm: number, half: number): string =>
  [-2 * half, -half, 0, half, 2 * half].map((off, n) => `${nm + off}\t${n === 2 ? 1 : 0}`).join('\n');

describe('a spectrum bends as the colour it is of', () => {
  it.each([2200, 3000, 4000, 6500])('a glowing body of %i K, every 5 nm, to 1 %%', (kelvin) => {
    expect(bending(planckFile(kelvin, 5)).share / white(kelvin)).toBeCloseTo(1, 2);
  });
  it('CIE illuminant A, every 10 nm, as white of 2856 K, to 1 %', () => {
    const text = ILLUMINANT_A.map((power, n) => `${380 + 10 * n} ${power}`).join('\n');
    expect(bending(text).share / white(2856)).toBeCloseTo(1, 2);
    expect(bending(text).share).toBeLessThan(0.75);
  });
  it.each([
    [400, 1],
    [455, 0.2],
    [455, 2],
    [480, 1],
  ])('a narrow peak at %i nm, half as wide as %d nm, as that wavelength, to 1 %%', (nanometres, half) => {
    const named = bendingShare({ kind: 'narrow', nanometres });
    expect(Math.abs(bending(peak(nanometres, half)).share / named - 1)).toBeLessThan(0.01);
  });
  it('a narrow peak of red bends nothing', () => {
    expect(bending(peak(660, 3)).share).toBe(0);
  });
  it('less is left open than for a colour in words, for whites and blues', () => {
    const wide = ([low, high]: readonly [number, number]): number => high / low;
    const cases: [string, LampColour][] = [
      [planckFile(2700, 5), { kind: 'white', kelvin: 2700 }],
      [planckFile(6500, 5), { kind: 'white', kelvin: 6500 }],
      [peak(440, 4), { kind: 'narrow', nanometres: 440 }],
      [peak(455, 4), { kind: 'narrow', nanometres: 455 }],
    ];
    for (const [text, colour] of cases) {
      const { range } = bending(text);
      const words = sure(bendingOfLamps([lamp({ colour })], {})[0]).range;
      expect(wide(range)).toBeLessThan(wide(words));
      expect(range[0]).toBeLessThanOrEqual(0.95);
      expect(range[1]).toBeGreaterThanOrEqual(1.05);
    }
  });
});

const lamp = (more: Partial<ReturnType<typeof strip>>) =>
  strip('l', 0, 1, [10, 20, 330], [10, 430, 330], [1, 0, 0], 500, more);

describe('what is read', () => {
  const plain = bending(planckFile(3000, 10)).share;
  it.each([
    ['commas', planckFile(3000, 10, ',')],
    ['semicolons', planckFile(3000, 10, ';')],
    ['tabs', planckFile(3000, 10, '\t')],
    ['spaces', planckFile(3000, 10, '   ')],
    ['decimal commas', planckFile(3000, 10, ';').replaceAll('.', ',')],
    ['a line of headings', `Wavelength (nm),Power\n${planckFile(3000, 10)}`],
    ['remarks and empty lines', `# measured\n\nnm;W\n${planckFile(3000, 10, '; ')} # the last\n\n`],
    [
      'a mark of UTF-8 in bytes',
      `\u00EF\u00BB\u00BFnm,W\r\n${planckFile(3000, 10).replaceAll('\n', '\r\n')}`,
    ],
  ])('%s', (_, text) => {
    expect(bending(text).share).toBeCloseTo(plain, 12);
  });

  const even = (from: number, to: number): string =>
    Array.from({ length: 9 }, (_, n) => `${from + ((to - from) / 8) * n} 1`).join('\n');
  it.each([
    ['no number', '400 1\n410 one\n420 1', 2, 'not-two-numbers'],
    ['three columns', 'nm,a,b\n400,1,2', 2, 'not-two-numbers'],
    ['one column', '400\n410', 1, 'not-two-numbers'],
    ['two lines of headings', 'lamp power\nnm W\n400 1', 2, 'not-two-numbers'],
    ['decimal commas between commas', '400,5,0,25', 1, 'not-two-numbers'],
    ['too great a number', '400 1e999', 1, 'not-two-numbers'],
    ['the same wavelength again', '400 1\n# same\n400 2', 3, 'not-ascending'],
    ['descending', '410 1\n400 2', 2, 'not-ascending'],
    ['a negative power', '400 1\n410 -0.01', 2, 'negative'],
    ['a negative wavelength', '-400 1', 1, 'negative'],
    ['few points', '400 0\n450 1\n500 1\n700 0\n\n', 4, 'too-few'],
    ['nothing', '', 1, 'too-few'],
    ['nothing seen', '300 1\n310 1\n320 1\n330 1\n340 0', 5, 'no-light'],
    ['nothing but an end', '340 0\n350 0\n360 0\n370 0\n380 1', 5, 'no-light'],
    ['all dark', even(380, 780).replaceAll(' 1', ' 0'), 9, 'no-light'],
    ['cut off below', even(450, 780), 9, 'cut-off'],
    ['cut off above', even(380, 600), 9, 'cut-off'],
  ])('not %s', (_, text, line, fault) => {
    expect(readSpectrum(text).fault).toEqual({ line, fault });
  });

  it('whatever is read, the share is a number, and the same for any unit of power', () => {
    const point = fc.tuple(fc.double({ min: 0.01, max: 80, noNaN: true }), fc.double({ min: 0, max: 1e6 }));
    fc.assert(
      fc.property(fc.array(point, { maxLength: 40 }), fc.double({ min: 1e-3, max: 1e3 }), (steps, unit) => {
        const points = steps.map(([, power], n): [number, number] => [
          steps.slice(0, n + 1).reduce((at, [step]) => at + step, 330),
          power,
        ]);
        const text = (by: number) => points.map(([nm, power]) => `${nm} ${power * by}`).join('\n');
        const { spectrum } = readSpectrum(text(1));
        if (!spectrum) return;
        const { share, range } = spectrumBending(spectrum);
        expect(Number.isFinite(share) && share >= 0).toBe(true);
        expect(range[0] <= 0.95 && range[1] >= 1.05 && Number.isFinite(range[1])).toBe(true);
        expect(Math.abs(bending(text(unit)).share - share)).toBeLessThanOrEqual(1e-9 * share);
      }),
    );
  });
  it('no text makes it throw', () => {
    const part = fc.constantFrom('400', '450', '1e3', '-1', ',', ';', '\t', ' ', '\n', '#', 'nm', '0', '.');
    fc.assert(fc.property(fc.array(part), (parts) => void readSpectrum(parts.join(''))));
  });
});

const plan = (light: string, fixture = ''): string => `leanward: 1
place: { timezone: Europe/Lisbon }
shelves: { counter: { size: [600 mm, 450 mm], clear: 520 mm } }
zones: { A: { x: [100 mm, 500 mm], y: [60 mm, 390 mm], bags: [1, 1] } }
fixtures: { bar: { strip: 410 mm, power: 5 W${fixture} } }
lamps:
  left: { beside: A, side: left, fixture: bar, output: 1${light} }
bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }
batches: { spring: { sealed: 2026-02-16 } }
`;
const read = (light: string, fixture = '') => {
  const { plan: made, findings } = readPlan(plan(light, fixture), { boards: BOARDS });
  return { lamp: made?.lamps[0], errors: findings.filter(({ severity }) => severity === 'error') };
};

describe('in a plan', () => {
  it('a lamp’s own word counts before its fixture’s, either way', () => {
    const own = read(', flux: 400 lm, spectrum: bar.csv', ', colour: red');
    expect(own.lamp).toMatchObject({ spectrum: 'bar.csv', colour: undefined });
    const other = read(', flux: 400 lm, colour: 455 nm', ', spectrum: bar.csv');
    expect(other.lamp).toMatchObject({ spectrum: undefined, colour: { kind: 'narrow', nanometres: 455 } });
    expect(read(', flux: 400 lm', ', spectrum: bar.csv').lamp?.spectrum).toBe('bar.csv');
  });
  it('a colour beside it is an error, in the lamp and in its fixture', () => {
    const both = ', colour: red, spectrum: bar.csv';
    for (const { errors } of [read(`, flux: 400 lm${both}`), read(', flux: 400 lm', both)])
      expect(errors.map(({ code }) => code)).toEqual(['key-excludes']);
  });
  it('its flux must be said: of a watt it cannot be told by a colour', () => {
    const { errors } = read(', spectrum: bar.csv');
    expect(errors.map(({ code, facts }) => [code, facts])).toEqual([
      ['key-missing', expect.objectContaining({ key: 'flux' })],
    ]);
    expect(read('').errors).toEqual([]);
  });
  it('gives the levels that its colour in words gives, with a narrower range', () => {
    const bands = (light: string) => {
      const { plan: made } = readPlan(plan(`, flux: 500 lm${light}`), { boards: BOARDS });
      const field = lightField(sure(made), { photometry: { 'bar.csv': planckFile(3000, 5, '; ') } });
      const { treatments } = steerDays(sure(made), field, daysOf(sure(made)));
      const lit = sure(treatments.find(({ ask }) => ask.kind === 'lit'));
      return { level: lit.figures.level.low, wide: sure(bandsOf(sure(made), lit)).level };
    };
    const [silent, file, words] = ['', ', spectrum: bar.csv', ', colour: 3000 K'].map(bands);
    expect(sure(file).level / sure(words).level).toBeCloseTo(1, 2);
    const [a, b, c] = [silent, file, words].map((one) => sure(one).wide[1] / sure(one).wide[0]);
    expect(sure(a)).toBeLessThan(sure(b));
    expect(sure(b)).toBeLessThan(sure(c));
  });
  it('a file counts for the lamps that name it; one that is missing or bad counts as white', () => {
    const lamps = ['blue.csv', 'none.csv', 'bad.csv', 'constructor'].map((spectrum) => lamp({ spectrum }));
    const shares = bendingOfLamps(lamps, {
      photometry: { 'blue.csv': peak(455, 2), 'bad.csv': '400 one' },
    }).map(({ share }) => share);
    expect(shares[0]).toBeGreaterThan(20);
    expect(shares.slice(1)).toEqual([1, 1, 1]);
  });
});

/**
 * What the grower reads about the light: golden files beside those of the plan reader.
 * `UPDATE_GOLDEN=1 npx vitest run tests/steer` writes them anew.
 */

import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { renderFinding } from '../../../compiler/findings/render.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS } from '../../support/boards.ts';
import { expectGolden, goldenText } from '../../support/golden.ts';
import { lightOf } from './whole.ts';

const plan = (name: string): string =>
  readFileSync(new URL(`../../../shared/plans/${name}.plan.yaml`, import.meta.url), 'utf8');

/** The smallest useful plan with its lamps and bags as given. */
const small = (lamps: string, bag: string, rest = ''): string => `leanward: 1
place: { timezone: Europe/Lisbon }
shelves:
  counter: { size: [600 mm, 450 mm], clear: 520 mm }
zones:
  A: { x: [100 mm, 500 mm], y: [60 mm, 390 mm], bags: [1, 1] }
lamps:
${lamps}
bags:
  tall: ${bag}
regimes:
  plain:
    - { stage: climb, days: 20, photoperiod: 12 h, start: 08:00, level: [300 lx, 1500 lx], lean: { hold: left } }
batches:
  spring: { sealed: 2026-02-16, regime: plain }
${rest}`;

const BAG =
  '{ footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg, film: { passes: 0.7, scatters: 0.4 } }';
const left = (flux: number, z = 330): string =>
  `  left: { strip: { from: [10 mm, 20 mm, ${z} mm], to: [10 mm, 430 mm, ${z} mm] }, facing: right, output: 1, flux: ${flux} lm }`;
const overhead =
  '  over: { panel: { at: [290 mm, 225 mm, 515 mm], size: [300 mm, 300 mm] }, facing: [0, 0, -1], output: 1, flux: 900 lm }';
const spectral = left(500).replace('flux:', 'spectrum: bar.csv, flux:');
const measured = left(500).replace('flux:', 'photometry: strip.ies, flux:');

const CASES: { code: string; slug: string; source: string; photometry?: Record<string, string> }[] = [
  { code: 'light-lean', slug: 'lean-not-met', source: plan('pantry-open') },
  {
    code: 'light-uneven',
    slug: 'uneven',
    source: small(left(500), BAG).replace('{ hold: left }', 'upright'),
  },
  { code: 'light-level', slug: 'level', source: small(left(150), BAG) },
  { code: 'light-by-height', slug: 'dim-below', source: small(left(165), BAG) },
  { code: 'light-cap-range', slug: 'as-for-caps', source: small(left(500), BAG) },
  { code: 'light-in-dark', slug: 'leak', source: plan('pantry-open') },
  { code: 'light-in-dark', slug: 'background', source: plan('wire-rack') },
  { code: 'light-unlit', slug: 'unlit', source: small(left(30), BAG) },
  {
    code: 'light-unlit',
    slug: 'out-of-reach',
    source: small(left(500), BAG.replace('200 mm, 120 mm', '120 mm, 200 mm')).replace(
      'x: [100 mm, 500 mm], y: [60 mm, 390 mm], bags: [1, 1]',
      'x: [60 mm, 590 mm], y: [60 mm, 390 mm], bags: [4, 1]',
    ),
  },
  {
    code: 'light-lamp-idle',
    slug: 'in-a-screen',
    source: small(
      `${left(500)}
  right: { strip: { from: [590 mm, 20 mm, 330 mm], to: [590 mm, 430 mm, 330 mm] }, facing: left, output: 2, flux: 500 lm }
screens:
  edge: { shelf: counter, x: 590 mm }`,
      BAG,
    ),
  },
  {
    code: 'light-lamp-idle',
    slug: 'along-its-own-strip',
    source: small(
      `${left(500)}
  back: { strip: { from: [10 mm, 440 mm, 330 mm], to: [590 mm, 440 mm, 330 mm] }, facing: right, output: 2, flux: 500 lm }`,
      BAG,
    ),
  },
  {
    code: 'light-lamp-idle',
    slug: 'beside-one-that-shines',
    source: small(
      `${left(500)}
  hidden: { strip: { from: [590 mm, 20 mm, 330 mm], to: [590 mm, 430 mm, 330 mm] }, facing: left, output: 1, flux: 500 lm }
screens:
  edge: { shelf: counter, x: 590 mm }`,
      BAG,
    ),
  },
  {
    code: 'light-no-pull',
    slug: 'red',
    source: small(left(500).replace('flux:', 'colour: red, flux:'), BAG),
  },
  {
    code: 'light-level',
    slug: 'warm-white',
    source: small(left(190).replace('flux:', 'colour: 2200 K, flux:'), BAG),
  },
  { code: 'light-overhead', slug: 'overhead', source: small(overhead, BAG) },
  { code: 'bag-low-headspace', slug: 'headspace', source: small(left(500), BAG.replace('2.2 kg', '5.5 kg')) },
  {
    code: 'light-film',
    slug: 'film',
    source: small(left(500), BAG.replace('passes: 0.7, scatters: 0.4', 'passes: 0.1, scatters: 1')),
  },
  { code: 'photometry-missing', slug: 'no-file', source: small(measured, BAG) },
  {
    code: 'photometry-unreadable',
    slug: 'bad-file',
    source: small(measured, BAG),
    photometry: { 'strip.ies': 'IESNA:LM-63-2002\nTILT=NONE\n1 500 1 3 1 2 2 0 0 0\n' },
  },
  { code: 'spectrum-missing', slug: 'no-spectrum', source: small(spectral, BAG) },
  {
    code: 'spectrum-unreadable',
    slug: 'bad-line',
    source: small(spectral, BAG),
    photometry: { 'bar.csv': 'nm,power\n400,0.1\n410,dark\n' },
  },
  {
    code: 'light-no-pull',
    slug: 'red-by-its-spectrum',
    source: small(spectral, BAG),
    photometry: { 'bar.csv': 'nm,power\n600,0\n640,0.3\n655,1\n670,0.3\n700,0\n' },
  },
];

const golden = (source: string, found: readonly Finding[]): string =>
  goldenText(
    source,
    found.map((one) => renderFinding(one, { file: 'my.plan.yaml', text: source, units: 'metric' })),
  );

describe('what the grower reads about the light', () => {
  test.each(CASES)('$code $slug', ({ code, slug, source, photometry }) => {
    const read = readPlan(source, { boards: BOARDS });
    expect(read.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    const found = lightOf(sure(read.plan), photometry).findings.filter((one) => one.code === code);
    expect(found.length).toBeGreaterThan(0);
    expectGolden({ code, slug }, golden(source, found));
  });
});

/**
 * What a grower may well write and no plan can mean: each is told once, by its code, at the words that
 * are wrong, and nothing else goes wrong with it. The codes are what `shared/` and README promise of keys.
 */

import { describe, expect, test } from 'vitest';
import type { Code } from '../../../compiler/findings/codes.ts';
import { renderFinding } from '../../../compiler/findings/render.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { type Change, planOf, sample } from '../../support/read-plan.ts';

const FRONT = (text: string): Change => ['beside: A, side: front, output: 1, flux: 350 lm', text];
const SECTION = (text: string): Change => ['batches:', `${text}\nbatches:`];
const BATCH = (text: string): Change => ['{ sealed: 2026-02-16 }', text];
const BATCHES = (text: string): Change => ['batches:\n  spring: { sealed: 2026-02-16 }', `batches:\n${text}`];
const STAGE = (stage: string): Change => SECTION(`regimes:\n  mine:\n    - ${stage}`);
const TWO: Change = ['shelves:', 'controllers: { one: {}, two: {} }\nshelves:'];

const LONG = 'n'.repeat(70);

type Odd = readonly [code: Code, at: string, ...changes: Change[]];

const ODD: readonly Odd[] = [
  // Who is meant
  ['key-missing', 'b', BATCHES('  a: { sealed: 2026-02-16, zones: [A] }\n  b: { sealed: 2027-02-16 }')],
  ['name-unknown', 'nap', BATCH('{ sealed: 2026-02-16, enters: nap }')],
  ['name-unknown', 'Z', BATCH('{ sealed: 2026-02-16, enters: { Z: 2026-03-01 } }')],
  ['name-unknown', 'Z', BATCH('{ sealed: 2026-02-16, ended: { Z: 2026-09-01 } }')],
  ['batch-ended-early', '2026-01-01', BATCH('{ sealed: 2026-02-16, ended: { A: 2026-01-01 } }')],
  ['name-unknown', 'mega', ['shelves:', 'controllers: { rack: { board: mega } }\nshelves:']],
  ['name-unknown', 'three/1', TWO, ['output: 1', 'output: three/1'], ['output: 2', 'output: one/2']],
  ['output-unreadable', 'first', TWO, ['output: 1', 'output: first'], ['output: 2', 'output: one/2']],
  [
    'name-unknown',
    'attic',
    [
      '{ timezone: America/Chicago }',
      '{ timezone: America/Chicago, supply: { attic: { volts: 24 V, rating: 2 A } } }',
    ],
  ],
  ['name-unknown', 'attic', SECTION('screens: { middle: { shelf: attic, x: 18 in } }')],
  [
    'name-unknown',
    'B',
    SECTION('background: { window: { zones: [B], from: left, level: 50 lx, hours: [08:00, 17:00] } }'),
  ],
  [
    'name-which',
    'spring',
    SECTION(
      'regimes:\n  one:\n    - { stage: climb, days: 9, photoperiod: 8 h }\n  two:\n    - { stage: climb, days: 9, photoperiod: 8 h }',
    ),
  ],
  // Too long to be a slip of the hand
  ['name-unknown', LONG, BATCH(`{ sealed: 2026-02-16, bag: ${LONG} }`)],
  [
    'name-unknown',
    'tal',
    BATCH('{ sealed: 2026-02-16, bag: tal }'),
    ['\nbags:', `\nbags:\n  ${LONG}: { like: tall }`],
  ],
  // Shelves and screens
  [
    'key-missing',
    '{ size: [36 in, 14 in], clear: 20 in }',
    ['zones:', '  upper: { size: [36 in, 14 in], clear: 20 in }\nzones:'],
    ['counter: { size', 'counter: { height: 0 in, size'],
    ['A: {', 'A: { shelf: counter,'],
  ],
  ['key-missing', 'middle', SECTION('screens: { middle: { shelf: counter } }')],
  ['key-excludes', 'y', SECTION('screens: { middle: { x: 36 in, y: 13 in } }')],
  ['key-missing', 'middle', SECTION('screens: { middle: { from: [1 in, 1 in, 1 in] } }')],
  // Lamps
  ['key-missing', 'front', FRONT('beside: A, output: 1, flux: 350 lm')],
  [
    'value-out-of-range',
    '{ from: [1 in, 1 in, 9 in], to: [1 in, 1 in, 9 in] }',
    FRONT(
      'strip: { from: [1 in, 1 in, 9 in], to: [1 in, 1 in, 9 in] }, facing: back, output: 1, flux: 350 lm',
    ),
  ],
  [
    'value-out-of-range',
    '[0, 0, 0]',
    FRONT('spot: { at: [1 in, 1 in, 9 in] }, facing: [0, 0, 0], output: 1, flux: 350 lm'),
  ],
  ['value-out-of-range', '300000 lm', FRONT('beside: A, side: front, output: 1, flux: 300000 lm')],
  ['value-out-of-range', '900 nm', FRONT('beside: A, side: front, output: 1, flux: 350 lm, colour: 900 nm')],
  ['value-out-of-range', '90 K', FRONT('beside: A, side: front, output: 1, flux: 350 lm, colour: 90 K')],
  [
    'value-unreadable',
    '30 parsecs',
    FRONT('beside: A, side: front, output: 1, flux: 350 lm, colour: 30 parsecs'),
  ],
  ['value-unknown-word', 'mauve', FRONT('beside: A, side: front, output: 1, flux: 350 lm, colour: mauve')],
  // Stages
  [
    'value-order',
    '[500 lx, 200 lx]',
    STAGE('{ stage: climb, days: 9, photoperiod: 8 h, level: [500 lx, 200 lx] }'),
  ],
  ['key-excludes', 'start', STAGE('{ stage: climb, days: 9, start: 08:00, light: none }')],
  ['value-out-of-range', '4000', STAGE('{ stage: climb, days: 4000, photoperiod: 8 h }')],
  ['value-out-of-range', '-3', STAGE('{ stage: climb, days: -3, photoperiod: 8 h }')],
  ['value-out-of-range', '36 h', STAGE('{ stage: climb, days: 36 h, photoperiod: 8 h }')],
  ['value-unreadable', 'soon', STAGE('{ stage: climb, days: soon, photoperiod: 8 h }')],
  [
    'name-twice',
    'climb',
    STAGE('{ stage: climb, days: 9, photoperiod: 8 h }\n    - { stage: climb, days: 9, photoperiod: 8 h }'),
  ],
  [
    'turn-no-fit',
    '[left, front]',
    STAGE(
      '{ stage: climb, days: 9, photoperiod: 8 h, lean: { sway: [left, front], every: 3 d, by: turning } }',
    ),
  ],
  // Days and hours
  ['value-out-of-range', '1999-12-31', BATCH('{ sealed: 1999-12-31 }')],
  ['value-out-of-range', '2100-01-01', BATCH('{ sealed: 2100-01-01 }')],
  ['value-order', '[2026-05-02, 2026-05-01]', SECTION('visits: { away: [[2026-05-02, 2026-05-01]] }')],
  ['value-order', '20 d', SECTION('visits: { harvest: { from: 30 d, until: 20 d } }')],
  ['key-excludes', 'on', SECTION('visits: { look: { every: 3 d, on: [Mon] } }')],
  ['key-missing', 'look', SECTION('visits: { look: { at: 18:00 } }')],
  ['value-unknown-word', 'Someday', SECTION('visits: { look: { on: [Someday] } }')],
  [
    'value-order',
    '[17:00, 08:00]',
    SECTION('background: { window: { from: left, level: 50 lx, hours: [17:00, 08:00] } }'),
  ],
  // Shares and ranges
  ['value-unreadable', 'much', SECTION('surfaces: { back: much }')],
  ['value-out-of-range', '140 %', SECTION('surfaces: { back: 140 % }')],
  ['value-order', '[3, 2, 1]', SECTION('growth: { gravity: [3, 2, 1] }')],
];

const changed = (changes: readonly Change[]): string =>
  changes.reduce((text, [from, to]) => {
    if (!text.includes(from)) throw new Error(`no ${from}`);
    return text.replace(from, () => to);
  }, sample('smallest'));

/** The first lamp of the smallest plan, written otherwise. */
const lamp = (text: string, ...changes: Change[]) =>
  itemAt(planOf(readPlan(changed([FRONT(text), ...changes]), { boards })).lamps, 0);

describe('written otherwise, and right', () => {
  const SPOT = 'spot: { at: [1 in, 1 in, 9 in] }';

  test('a lamp may face up, down, a side or along a vector of any length', () => {
    for (const [facing, way] of [
      ['up', [0, 0, 1]],
      ['down', [0, 0, -1]],
      ['[0, 3, 4]', [0, 0.6, 0.8]],
    ] as const) {
      const seen = lamp(`${SPOT}, facing: ${facing}, output: 1, flux: 350 lm`).facing;
      expect(seen.map((part) => Math.round(part * 1e9) / 1e9)).toEqual(way);
    }
  });

  test('a panel and a spot take what they leave out from their fixture', () => {
    const fixtures = SECTION(
      'fixtures:\n  tile: { panel: [10 in, 5 in], flux: 350 lm }\n  dot: { spot: 40 deg, flux: 350 lm }',
    );
    const panel = 'panel: { at: [18 in, 1 in, 9 in] }, facing: back, output: 1, fixture: tile';
    expect(lamp(panel, fixtures).shape).toMatchObject({ kind: 'panel', size: [254, 127] });
    expect(lamp('beside: A, side: front, output: 1, fixture: tile', fixtures).shape).toMatchObject({
      kind: 'panel',
      size: [254, 127],
    });
    expect(lamp(`${SPOT}, facing: back, output: 1, fixture: dot`, fixtures).shape).toMatchObject({
      kind: 'spot',
      beam: 40,
    });
    const bare = 'panel: { at: [18 in, 1 in, 9 in] }, facing: back, output: 1, flux: 350 lm';
    expect(lamp(bare).shape).toMatchObject({ kind: 'panel', size: [300, 100] });
  });

  test('a lamp above hangs over the bags, and never above the shelf’s clear height', () => {
    // Bags of 15 in on a shelf of 20 in: LAMP_GAP of 2 in over them.
    const { shape } = lamp('beside: A, side: above, output: 1, flux: 350 lm');
    expect(shape.kind === 'strip' && shape.from[2] / 25.4).toBeCloseTo(17, 1);
    const low = lamp('beside: A, side: above, output: 1, flux: 350 lm', [
      'clear: 20 in',
      'clear: 16 in',
    ]).shape;
    expect(low.kind === 'strip' && low.from[2] / 25.4).toBeCloseTo(16, 1);
  });
});

describe('what no plan can mean', () => {
  test.each(ODD.map(([code, at, ...changes]) => ({ code, at, changes })))(
    '$code at $at',
    ({ code, at, changes }) => {
      const text = changed(changes);
      const { findings, units } = readPlan(text, { boards });
      const errors = findings.filter(({ severity }) => severity === 'error');
      const said = errors.map((one) => [one.code, text.slice(one.span.start, one.span.end)]);
      expect(said).toEqual([[code, at]]);
      const words = renderFinding(itemAt(errors, 0), { file: 'my.plan.yaml', text, units });
      expect(words).not.toMatch(/undefined|NaN|``|\[object| {2}\./);
    },
  );
});

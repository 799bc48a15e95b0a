/**
 * One small faulty plan for every code, each the smallest plan with a change;
 * codes of later stages are shown from facts as those stages give them.
 */

import { readFileSync } from 'node:fs';
import type { Fact } from '../../../compiler/diagnostics/diagnostic.ts';

const SMALLEST = readFileSync(new URL('../../../shared/plans/smallest.plan.yaml', import.meta.url), 'utf8');

export interface Case {
  readonly code: string;
  readonly slug: string;
  readonly source: string | Uint8Array;
  /** For codes that reading does not give: the facts, and the text they point at. */
  readonly given?: { readonly facts: Readonly<Record<string, Fact>>; readonly at: string };
}

type Change = readonly [from: string, to: string];

function changed(changes: readonly Change[]): string {
  return changes.reduce((text, [from, to]) => {
    if (!text.includes(from)) throw new Error(`The smallest plan has no ${from}`);
    return text.replace(from, to);
  }, SMALLEST);
}

const read = (code: string, slug: string, ...changes: Change[]): Case => ({
  code,
  slug,
  source: changed(changes),
});
const given = (
  code: string,
  slug: string,
  at: string,
  facts: Record<string, Fact>,
  ...changes: Change[]
): Case => ({
  code,
  slug,
  source: changed(changes),
  given: { facts, at },
});

const TWO_CONTROLLERS: Change = ['shelves:', 'controllers: { one: {}, two: {} }\nshelves:'];
const OUTPUTS_NAMED: Change[] = [
  ['output: 1', 'output: one/1'],
  ['output: 2', 'output: one/2'],
];
const STAGE = (stage: string): Change => ['batches:', `regimes:\n  mine:\n    - ${stage}\nbatches:`];
const SECOND_BATCH = (entry: string): Change => [
  'spring: { sealed: 2026-02-16 }',
  `spring: { sealed: 2026-02-16, zones: [A] }\n  summer: ${entry}`,
];

/** Sixteen zones are the most; this makes seventeen of one bag each. */
function manyZones(): Change[] {
  const zones = Array.from(
    { length: 17 },
    (_, i) => `  Z${i}: { x: [${i * 200} mm, ${i * 200 + 190} mm], bags: [1, 1] }`,
  );
  const lamps = zones.map((_, i) => `  L${i}: { beside: Z${i}, side: front, output: 1, flux: 50 lm }`);
  return [
    ['36 in', '4 m'],
    ['  A: { bags: [5, 1] }', zones.join('\n')],
    ['  front: { beside: A, side: front, output: 1, flux: 350 lm }\n', ''],
    ['  back: { beside: A, side: back, output: 2, flux: 350 lm }', lamps.join('\n')],
  ];
}

const bomb = `a: &a [x, x, x, x, x, x, x, x, x, x]\n${['b', 'c', 'd', 'e', 'f']
  .map((name, i) => `${name}: &${name} [${Array(10).fill(`*${'abcde'[i]}`).join(', ')}]`)
  .join('\n')}\n`;

const utf16 = Uint8Array.from([0xff, 0xfe, ...[...'leanward: 1\n'].flatMap((one) => [one.charCodeAt(0), 0])]);

export const CASES: readonly Case[] = [
  { code: 'E101', slug: 'too-large', source: `# ${'x'.repeat(1_048_576)}` },
  {
    code: 'E102',
    slug: 'not-utf8',
    source: Uint8Array.from([...Buffer.from('leanward: 1\ntitle: caf'), 0xe9, 0x0a]),
  },
  { code: 'E102', slug: 'utf16', source: utf16 },
  { code: 'E103', slug: 'nested-too-deeply', source: `leanward: ${'['.repeat(60)}` },
  { code: 'E104', slug: 'copies-of-copies', source: bomb },
  read('E105', 'tab', ['  A: {', '\tA: {']),
  read('E106', 'no-space-after-colon', ['flux: 350', 'flux:350']),
  read('E106', 'no-space-at-line-start', ['leanward: 1', 'leanward:1']),
  read('E107', 'brace-left-open', ['[5, 1] }', '[5, 1]']),
  read('E107', 'bracket-left-open', ['[5 in, 8 in], height', '[5 in, 8 in, height']),
  read('E108', 'curly-quotes', ['place:', 'title: “Back room”\nplace:']),
  read('E109', 'non-breaking-space', ['19 in', '19\u00a0in']),
  read('E110', 'indentation', ['  back:', '   back:']),
  read('E115', 'quote-left-open', ['place:', 'title: "Back room\nplace:']),
  read('E111', 'key-twice', ['  back:', '  front:']),
  { code: 'E112', slug: 'empty', source: '# nothing yet\n' },
  read('E113', 'brace-too-many', ['[5, 1] }', '[5, 1] }}']),
  read('E114', 'comma-in-number', ['fill: 5 lb', 'fill: 2,5 kg']),
  read('E116', 'comma-missing', ['beside: A, side: front', 'beside: A side: front']),
  read('E117', 'colon-missing', ['flux: 350', 'flux 350']),
  read('E201', 'key-at-the-left-edge', [
    'place: { timezone: America/Chicago }',
    'place:\ntimezone: America/Chicago',
  ]),
  read('E201', 'section-in-the-singular', ['batches:', 'batch:']),
  read('E201', 'unknown-key', ['flux', 'flxu']),
  read('E201', 'unknown-key-not-near', ['clear: 20 in', 'clear: 20 in, paint: white']),
  read('E202', 'missing-key', [', height: 19 in', '']),
  read('E203', 'wrong-kind', ['[5, 1]', '5']),
  read('E204', 'unit-missing', ['19 in', '19']),
  read('E204', 'unit-as-elsewhere', ['[36 in, 14 in], clear: 20 in', '[900 mm, 360 mm], clear: 510']),
  read('E204', 'angle-without-unit', STAGE('{ stage: climb, lean: { hold: 45 } }')),
  read('E303', 'whose-supply', TWO_CONTROLLERS, ...OUTPUTS_NAMED, [
    'Chicago }',
    'Chicago, supply: { volts: 5 V, rating: 2 A } }',
  ]),
  read('E205', 'unit-of-another-kind', ['19 in', '19 lb']),
  read('E206', 'unknown-unit', ['350 lm', '350 lmn']),
  read('E206', 'decimal-comma', ['fill: 5 lb', 'fill: "2,5 kg"']),
  read('E207', 'out-of-range', ['19 in', '1900 in']),
  read('E208', 'unknown-word', ['side: front', 'side: fornt']),
  read('E209', 'no-such-date', ['2026-02-16', '2026-02-30']),
  read('E210', 'not-a-date', ['2026-02-16', '16 Feb 2026']),
  read('E211', 'not-a-time', ['batches:', 'visits: { hours: [08:00, 25:00] }\nbatches:']),
  read('E212', 'two-that-exclude', [
    'beside: A, side: front',
    'beside: A, side: front, spot: { at: [0 in, 0 in, 5 in] }',
  ]),
  read('E213', 'not-an-output', ['output: 1', 'output: first']),
  read('E214', 'named-twice', ['2026-02-16', '2026-02-16, zones: [A, A]']),
  read('E215', 'no-name', ['  A: {', '  "": {']),
  read('E216', 'unknown-time-zone', ['Chicago', 'Chicgo']),
  read('E217', 'later-language', ['leanward: 1', 'leanward: 2']),
  read('E301', 'unknown-name', ['beside: A, side: back', 'beside: B, side: back']),
  read('E301', 'misspelt-name', ['2026-02-16', '2026-02-16, bag: tal']),
  read('E302', 'copied-in-a-circle', ['height: 19 in,', 'height: 19 in, like: tall,']),
  read('E303', 'which-one', TWO_CONTROLLERS, ['output: 2', 'output: one/2']),
  read('E304', 'no-such-output', ['output: 2', 'output: 9']),
  read(
    'E305',
    'output-in-two-ways',
    ['shelves:', 'controllers: { rack: { board: mega328-dim6 } }\nshelves:'],
    ['output: 2', 'output: 1, dimmable: true'],
  ),
  read(
    'E306',
    'one-address',
    ['shelves:', 'controllers: { one: { unit: 2 }, two: { unit: 2 } }\nshelves:'],
    ...OUTPUTS_NAMED,
  ),
  read('E307', 'too-many-zones', ...manyZones()),
  read('E308', 'two-batches-in-one-zone', SECOND_BATCH('{ sealed: 2026-05-01, zones: [A] }')),
  read('E401', 'zone-off-shelf', ['{ bags:', '{ x: [0 in, 40 in], bags:']),
  read(
    'E402',
    'zones-overlap',
    ['[5, 1] }', '[5, 1] }\n  B: { x: [30 in, 36 in], bags: [1, 1] }'],
    ['2026-02-16', '2026-02-16, zones: [A]'],
  ),
  read('E403', 'lamp-inside-a-bag', [
    'beside: A, side: front,',
    'spot: { at: [18 in, 7 in, 12 in] }, facing: back,',
  ]),
  read(
    'E404',
    'lamp-facing-away',
    ['deck: wire', 'deck: solid'],
    ['beside: A, side: front,', 'spot: { at: [18 in, 1 in, 12 in] }, facing: front,'],
  ),
  read('E405', 'bags-do-not-fit', ['[5, 1]', '[8, 1]']),
  read('E406', 'bag-too-tall', ['height: 19 in', 'height: 22 in']),
  read('E407', 'no-headspace', ['5 lb', '25 lb']),
  read('E408', 'lamp-off-the-shelf', [
    'beside: A, side: front,',
    'spot: { at: [18 in, 1 in, 13 ft] }, facing: back,',
  ]),
  read('E411', 'stage-of-no-days', STAGE('{ stage: climb, days: 0 }')),
  read('E412', 'more-than-a-day-of-light', STAGE('{ stage: climb, photoperiod: 25 h }')),
  read('E413', 'outside-visiting-hours', [
    'batches:',
    'visits:\n  hours: [[07:00, 09:00], [5 pm, 8 pm]]\n  look: { every: 7 d, at: 12:00 }\nbatches:',
  ]),
  read('E414', 'begins-too-early', ['2026-02-16', '2026-02-16, began: { wake: 2026-02-01 }']),
  read('E415', 'ended-before-sealed', ['2026-02-16', '2026-02-16, ended: 2026-01-16']),
  read('E416', 'mix-not-whole', ['fill: 5 lb', 'fill: 5 lb, mix: { parts: { sawdust: 80 %, bran: 10 % } }']),
  read('E417', 'wrong-way-round', ['batches:', 'visits: { hours: [21:00, 08:00] }\nbatches:']),
  read(
    'E418',
    'no-lamp-to-turn-to',
    STAGE('{ stage: climb, lean: { sway: [left, right], by: turning } }'),
    ['  front: { beside: A, side: front,', '  front: { beside: A, side: above,'],
    ['side: back,', 'side: above,'],
  ),
  read(
    'E419',
    'turn-that-does-not-fit',
    STAGE('{ stage: climb, lean: { sway: [front, right], by: turning } }'),
  ),
  given('N199', 'and-more', 'zones', { limit: 200 }),
  given('N401', 'clock-skips', 'spring', {
    stage: 'climb',
    batch: 'spring',
    start: 150,
    date: '2026-03-08',
    skipped: true,
    until: 180,
  }),
  given('N401', 'clock-repeats', 'spring', {
    stage: 'climb',
    batch: 'spring',
    start: 90,
    date: '2026-11-01',
    skipped: false,
    until: 120,
  }),
  read('N402', 'room-counts-as-dark'),
  read('W420', 'over-before-harvest', [
    'batches:',
    'regimes:\n  antler:\n    - { stage: climb, days: 30 }\nbatches:',
  ]),
  read('N415', 'kept-eight-weeks', ['2026-02-16', '2026-02-16, then: keep, ended: 2026-12-01']),
  given('W301', 'circuit', 'place', { amperes: 1.84, rating: 2, most: 1.6, everything: false }),
  given('W301', 'everything-on', 'place', { amperes: 2.1, rating: 2, most: 1.6, everything: true }),
  given('W302', 'supply', 'lamps', {
    controller: 'rack',
    amperes: 0.14,
    rating: 0.15,
    most: 0.12,
    everything: false,
  }),
  given('W302', 'everything-on', 'lamps', {
    controller: 'rack',
    amperes: 0.3,
    rating: 0.25,
    most: 0.2,
    everything: true,
  }),
  read('W303', 'usb-port', [
    '  back:',
    `${Array.from({ length: 6 }, (_, i) => `  extra${i}: { like: front, output: ${i + 3} }`).join('\n')}\n  back:`,
  ]),
  read(
    'W304',
    'output',
    ['Chicago }', 'Chicago, circuit: { volts: 120 V, rating: 20 A } }'],
    ['350 lm', '350 lm, power: 1000 W'],
  ),
  read('W305', 'lamps-on-one-side', ['side: back', 'side: front']),
  read('W306', 'poorly-founded'),
  given('E501', 'too-large-for-the-board', 'lamps', {
    controller: 'rack',
    bytes: 512,
    limit: 440,
    costs: ['24 different days of light: 180 bytes', '12 courses over the weeks: 190 bytes'],
    remedies: ['compile from a later day (`--from`): batches that are over are left out'],
  }),
  given('W502', 'log-wraps', 'lamps', { controller: 'rack', days: 40, perDay: 6 }),
  read('W307', 'unlucky-address', ['shelves:', 'controllers: { rack: { unit: 100 } }\nshelves:']),
  given('W504', 'contact-life', 'front', {
    controller: 'rack',
    number: 1,
    operations: 25_000,
    life: 100_000,
    years: 1.2,
  }),
  given('W510', 'away', 'batches', { visits: ['lift of A on 2026-04-13', 'lift of A on 2026-04-16'] }),
  given('W511', 'most', 'batches', { visits: ['look of A on 2026-04-13'] }),
  given('N512', 'moved', 'batches', { visits: ['look of A on 2026-04-13 to 2026-04-15'] }),
];

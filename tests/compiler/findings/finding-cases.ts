/**
 * One small faulty plan for every code, each the smallest plan with a change;
 * codes of later stages are shown from facts as those stages give them.
 */

import { readFileSync } from 'node:fs';
import type { Code } from '../../../compiler/findings/codes.ts';
import type { Report } from '../../../compiler/findings/collector.ts';
import type { FactsOf, MovedVisit } from '../../../compiler/findings/facts.ts';
import type { Span } from '../../../compiler/findings/finding.ts';

const SMALLEST = readFileSync(new URL('../../../shared/plans/smallest.plan.yaml', import.meta.url), 'utf8');

export interface Case {
  readonly code: Code;
  readonly slug: string;
  readonly source: string | Uint8Array;
  /** For codes that reading does not give: how they are told, and the text they point at. */
  readonly given?: { readonly tell: (report: Report, span: Span) => void; readonly at: string };
}

type Change = readonly [from: string, to: string];

function changed(changes: readonly Change[]): string {
  return changes.reduce((text, [from, to]) => {
    if (!text.includes(from)) throw new Error(`The smallest plan has no ${from}`);
    return text.replace(from, to);
  }, SMALLEST);
}

const read = (code: Code, slug: string, ...changes: Change[]): Case => ({
  code,
  slug,
  source: changed(changes),
});
const given = <C extends Code>(
  code: C,
  slug: string,
  at: string,
  facts: FactsOf[C],
  ...changes: Change[]
): Case => ({
  code,
  slug,
  source: changed(changes),
  given: { tell: (report, span) => report(code, span, facts), at },
});

const VISIT = (kind: MovedVisit['kind'], day: string, to?: string): MovedVisit => ({
  kind,
  zone: 'A',
  day,
  to,
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

/** Sixteen lit zones, and two on a shelf without lamps that count for the same controller. */
function unlitZones(): Change[] {
  const lit = Array.from({ length: 16 }, (_, i) => `Z${i}`);
  const zones = lit.map(
    (zone, i) => `  ${zone}: { shelf: counter, x: [${i * 200} mm, ${i * 200 + 190} mm], bags: [1, 1] }`,
  );
  const unlit = [
    '  U1: { shelf: floor, x: [0 mm, 400 mm], bags: [1, 1] }',
    '  U2: { shelf: floor, x: [400 mm, 800 mm], bags: [1, 1] }',
  ];
  const lamps = lit.map((zone) => `  L${zone}: { beside: ${zone}, side: front, output: 1, flux: 50 lm }`);
  return [
    [
      '  counter: { size: [36 in,',
      '  floor: { height: 0 mm, size: [36 in, 14 in], clear: 20 in }\n  counter: { height: 900 mm, size: [4 m,',
    ],
    ['  A: { bags: [5, 1] }', [...zones, ...unlit].join('\n')],
    ['  front: { beside: A, side: front, output: 1, flux: 350 lm }\n', ''],
    ['  back: { beside: A, side: back, output: 2, flux: 350 lm }', lamps.join('\n')],
  ];
}

const bomb = `a: &a [x, x, x, x, x, x, x, x, x, x]\n${['b', 'c', 'd', 'e', 'f']
  .map((name, i) => `${name}: &${name} [${Array(10).fill(`*${'abcde'[i]}`).join(', ')}]`)
  .join('\n')}\n`;

const utf16 = Uint8Array.from([0xff, 0xfe, ...[...'leanward: 1\n'].flatMap((one) => [one.charCodeAt(0), 0])]);

export const CASES: readonly Case[] = [
  { code: 'text-too-large', slug: 'too-large', source: `# ${'x'.repeat(1_048_576)}` },
  {
    code: 'text-not-utf8',
    slug: 'not-utf8',
    source: Uint8Array.from([...Buffer.from('leanward: 1\ntitle: caf'), 0xe9, 0x0a]),
  },
  { code: 'text-not-utf8', slug: 'utf16', source: utf16 },
  { code: 'text-too-deep', slug: 'nested-too-deeply', source: `leanward: ${'['.repeat(60)}` },
  { code: 'text-copies', slug: 'copies-of-copies', source: bomb },
  read('text-tab', 'tab', ['  A: {', '\tA: {']),
  read('text-space-missing', 'no-space-after-colon', ['flux: 350', 'flux:350']),
  read('text-space-missing', 'no-space-at-line-start', ['leanward: 1', 'leanward:1']),
  read('text-left-open', 'brace-left-open', ['[5, 1] }', '[5, 1]']),
  read('text-left-open', 'bracket-left-open', ['[5 in, 8 in], height', '[5 in, 8 in, height']),
  read('text-curly-quotes', 'curly-quotes', ['place:', 'title: “Back room”\nplace:']),
  read('text-unseen-character', 'non-breaking-space', ['15 in', '15\u00a0in']),
  read('text-unreadable', 'indentation', ['  back:', '   back:']),
  read('text-quote-left-open', 'quote-left-open', ['place:', 'title: "Back room\nplace:']),
  read('key-twice', 'key-twice', ['  back:', '  front:']),
  { code: 'text-empty', slug: 'empty', source: '# nothing yet\n' },
  read('text-bracket-too-many', 'brace-too-many', ['[5, 1] }', '[5, 1] }}']),
  read('text-comma-in-number', 'comma-in-number', ['fill: 5 lb', 'fill: 2,5 kg']),
  read('text-comma-missing', 'comma-missing', ['beside: A, side: front', 'beside: A side: front']),
  read('text-colon-missing', 'colon-missing', ['flux: 350', 'flux 350']),
  read('key-unknown', 'key-at-the-left-edge', [
    'place: { timezone: America/Chicago }',
    'place:\ntimezone: America/Chicago',
  ]),
  read('key-unknown', 'section-in-the-singular', ['batches:', 'batch:']),
  read('key-unknown', 'unknown-key', ['flux', 'flxu']),
  read('key-unknown', 'unknown-key-not-near', ['clear: 20 in', 'clear: 20 in, paint: white']),
  read('key-missing', 'missing-key', [', height: 15 in', '']),
  read('key-missing', 'missing-photoperiod', STAGE('{ stage: mine, days: 25 }')),
  read('value-kind', 'wrong-kind', ['[5, 1]', '5']),
  read('unit-missing', 'unit-missing', ['15 in', '15']),
  read('unit-missing', 'unit-as-elsewhere', ['[36 in, 14 in], clear: 20 in', '[900 mm, 360 mm], clear: 510']),
  read('unit-missing', 'angle-without-unit', STAGE('{ stage: climb, lean: { hold: 45 } }')),
  read('name-which', 'whose-supply', TWO_CONTROLLERS, ...OUTPUTS_NAMED, [
    'Chicago }',
    'Chicago, supply: { volts: 5 V, rating: 2 A } }',
  ]),
  read('unit-other', 'unit-of-another-kind', ['15 in', '15 lb']),
  read('value-unreadable', 'unknown-unit', ['350 lm', '350 lmn']),
  read('value-unreadable', 'decimal-comma', ['fill: 5 lb', 'fill: "2,5 kg"']),
  read('value-out-of-range', 'out-of-range', ['15 in', '1500 in']),
  read('value-out-of-range', 'no-hours-of-light', STAGE('{ stage: wake, photoperiod: 0 h }')),
  read('value-unknown-word', 'unknown-word', ['side: front', 'side: fornt']),
  read('date-impossible', 'no-such-date', ['2026-02-16', '2026-02-30']),
  read('date-unreadable', 'not-a-date', ['2026-02-16', '16 Feb 2026']),
  read('time-unreadable', 'not-a-time', ['batches:', 'visits: { hours: [08:00, 25:00] }\nbatches:']),
  read('key-excludes', 'two-that-exclude', [
    'beside: A, side: front',
    'beside: A, side: front, spot: { at: [0 in, 0 in, 5 in] }',
  ]),
  read('output-unreadable', 'not-an-output', ['output: 1', 'output: first']),
  read('name-twice', 'named-twice', ['2026-02-16', '2026-02-16, zones: [A, A]']),
  read('name-not-allowed', 'no-name', ['  A: {', '  "": {']),
  read('place-unknown-timezone', 'unknown-time-zone', ['Chicago', 'Chicgo']),
  read('text-later-language', 'later-language', ['leanward: 1', 'leanward: 2']),
  read('name-unknown', 'unknown-name', ['beside: A, side: back', 'beside: B, side: back']),
  read('name-unknown', 'misspelt-name', ['2026-02-16', '2026-02-16, bag: tal']),
  read('name-circle', 'copied-in-a-circle', ['height: 15 in,', 'height: 15 in, like: tall,']),
  read('name-which', 'which-one', TWO_CONTROLLERS, ['output: 2', 'output: one/2']),
  read('output-missing', 'no-such-output', ['output: 2', 'output: 9']),
  read(
    'output-two-ways',
    'output-in-two-ways',
    ['shelves:', 'controllers: { rack: { board: mega328-dim6 } }\nshelves:'],
    ['output: 2', 'output: 1, dimmable: true'],
  ),
  read(
    'controller-same-address',
    'one-address',
    ['shelves:', 'controllers: { one: { unit: 2 }, two: { unit: 2 } }\nshelves:'],
    ...OUTPUTS_NAMED,
  ),
  read('controller-zones', 'too-many-zones', ...manyZones()),
  read('controller-zones', 'unlit-zones', ...unlitZones()),
  read('zone-taken', 'two-batches-in-one-zone', SECOND_BATCH('{ sealed: 2026-05-01, zones: [A] }')),
  read('zone-no-room', 'shelf-one-inch-deep', ['[36 in, 14 in]', '[36 in, 1 in]']),
  read('zone-off-shelf', 'zone-off-shelf', ['{ bags:', '{ x: [0 in, 40 in], bags:']),
  read(
    'zone-overlap',
    'zones-overlap',
    ['[5, 1] }', '[5, 1] }\n  B: { x: [30 in, 36 in], bags: [1, 1] }'],
    ['2026-02-16', '2026-02-16, zones: [A]'],
  ),
  read('lamp-in-bag', 'lamp-inside-a-bag', [
    'beside: A, side: front,',
    'spot: { at: [18 in, 7 in, 12 in] }, facing: back,',
  ]),
  read('lamp-in-bag', 'panel-with-its-middle-between-bags', [
    'beside: A, side: front,',
    'panel: { at: [14.4 in, 7 in, 12 in], size: [8 in, 6 in] }, facing: back,',
  ]),
  read('screen-in-bag', 'screen-through-a-bag', ['batches:', 'screens: { middle: { x: 18 in } }\nbatches:']),
  read(
    'lamp-facing-away',
    'lamp-facing-away',
    ['deck: wire', 'deck: solid'],
    ['beside: A, side: front,', 'spot: { at: [18 in, 1 in, 12 in] }, facing: front,'],
  ),
  read('bag-no-room', 'bags-do-not-fit', ['[5, 1]', '[8, 1]']),
  read(
    'bag-no-room',
    'bags-do-not-fit-beside-lamps',
    ['[5, 1]', '[7, 1]'],
    ['side: front', 'side: left'],
    ['side: back', 'side: right'],
  ),
  read('bag-too-tall', 'bag-too-tall', ['height: 15 in', 'height: 22 in']),
  read('bag-no-headspace', 'no-headspace', ['5 lb', '25 lb']),
  read('shelf-passed', 'lamp-off-the-shelf', [
    'beside: A, side: front,',
    'spot: { at: [18 in, 1 in, 13 ft] }, facing: back,',
  ]),
  read('stage-no-days', 'stage-of-no-days', STAGE('{ stage: climb, days: 0 }')),
  read('stage-long-day', 'more-than-a-day-of-light', STAGE('{ stage: climb, photoperiod: 25 h }')),
  read('visit-outside-hours', 'outside-visiting-hours', [
    'batches:',
    'visits:\n  hours: [[07:00, 09:00], [5 pm, 8 pm]]\n  look: { every: 7 d, at: 12:00 }\nbatches:',
  ]),
  read('stage-too-early', 'begins-too-early', ['2026-02-16', '2026-02-16, began: { wake: 2026-02-01 }']),
  read('batch-ended-early', 'ended-before-sealed', ['2026-02-16', '2026-02-16, ended: 2026-01-16']),
  read('batch-moved-early', 'moved-before-sealed', [
    '2026-02-16',
    '2026-02-16, zones: [A], enters: { A: 2026-01-16 }',
  ]),
  read('mix-not-whole', 'mix-not-whole', [
    'fill: 5 lb',
    'fill: 5 lb, mix: { parts: { sawdust: 80 %, bran: 10 % } }',
  ]),
  read('value-order', 'wrong-way-round', ['batches:', 'visits: { hours: [21:00, 08:00] }\nbatches:']),
  read(
    'turn-no-lamp',
    'no-lamp-to-turn-to',
    STAGE('{ stage: climb, lean: { sway: [left, right], by: turning } }'),
    ['  front: { beside: A, side: front,', '  front: { beside: A, side: above,'],
    ['side: back,', 'side: above,'],
  ),
  read(
    'turn-no-fit',
    'turn-that-does-not-fit',
    STAGE('{ stage: climb, lean: { sway: [front, right], by: turning } }'),
  ),
  given('text-more-findings', 'and-more', 'zones', { limit: 200 }),
  given('clock-change', 'clock-skips', 'spring', {
    stage: 'climb',
    batch: 'spring',
    start: 150,
    date: '2026-03-08',
    skipped: true,
    until: 180,
  }),
  given('clock-change', 'clock-repeats', 'spring', {
    stage: 'climb',
    batch: 'spring',
    start: 90,
    date: '2026-11-01',
    skipped: false,
    until: 120,
  }),
  given('light-cut', 'stages-meet', 'spring', {
    stage: 'wake',
    batch: 'spring',
    date: '2026-04-05',
    minutes: 390,
    whole: false,
    next: 'climb',
    nextBatch: 'spring',
    nextDate: '2026-04-06',
    nextStart: 330,
  }),
  given('light-cut', 'clock-skips', 'spring', {
    stage: 'climb',
    batch: 'spring',
    date: '2026-03-07',
    minutes: 30,
    whole: false,
    next: 'climb',
    nextBatch: 'spring',
    nextDate: '2026-03-08',
    nextStart: 360,
  }),
  read('room-dark', 'room-counts-as-dark'),
  read('batch-over-early', 'over-before-harvest', [
    'batches:',
    'regimes:\n  antler:\n    - { stage: climb, days: 30 }\nbatches:',
  ]),
  read('harvest-unripe', 'closes-before-ripening', [
    'batches:',
    'visits: { harvest: { from: 70 d, until: 84 d } }\nbatches:',
  ]),
  read('harvest-opens-early', 'opens-before-ripening', [
    'batches:',
    'visits: { harvest: { from: 84 d, until: 112 d } }\nbatches:',
  ]),
  read(
    'room-stage-apart',
    'warmer-than-the-room',
    ['batches:', 'room: { keep: [65 F, 75 F] }\nbatches:'],
    STAGE('{ stage: climb, keep: [80 F, 86 F] }'),
  ),
  read('batch-kept', 'kept-eight-weeks', ['2026-02-16', '2026-02-16, then: keep, ended: 2026-12-01']),
  given('load-circuit', 'circuit', 'place', { amperes: 1.84, rating: 2, most: 1.6, everything: false }),
  given('load-circuit', 'everything-on', 'place', { amperes: 2.1, rating: 2, most: 1.6, everything: true }),
  given('load-supply', 'supply', 'lamps', {
    controller: 'rack',
    amperes: 0.14,
    rating: 0.15,
    most: 0.12,
    everything: false,
  }),
  given('load-supply', 'everything-on', 'lamps', {
    controller: 'rack',
    amperes: 0.3,
    rating: 0.25,
    most: 0.2,
    everything: true,
  }),
  read('load-usb', 'usb-port', [
    '  back:',
    `${Array.from({ length: 6 }, (_, i) => `  extra${i}: { like: front, output: ${i + 3} }`).join('\n')}\n  back:`,
  ]),
  read(
    'load-output',
    'output',
    ['Chicago }', 'Chicago, circuit: { volts: 120 V, rating: 20 A } }'],
    ['350 lm', '350 lm, power: 1000 W'],
  ),
  read('lamp-one-side', 'lamps-on-one-side', ['side: back', 'side: front']),
  read('value-assumed', 'poorly-founded'),
  given('visit-reminders-end', 'flash-again', 'batches', { controller: 'rack', until: '2026-05-09' }),
  given('table-too-large', 'too-large-for-the-board', 'lamps', {
    controller: 'rack',
    bytes: 512,
    limit: 440,
    tooMany: [],
    costs: [
      { part: 'patterns', count: 24, bytes: 180 },
      { part: 'tracks', count: 12, bytes: 190 },
    ],
    remedies: [{ kind: 'same-start' }, { kind: 'own-controller', batch: 'late' }],
  }),
  given('table-too-large', 'too-many-days-of-light', 'lamps', {
    controller: 'rack',
    bytes: 406,
    limit: 440,
    tooMany: [{ part: 'patterns', count: 66, most: 63 }],
    costs: [{ part: 'patterns', count: 66, bytes: 330 }],
    remedies: [{ kind: 'later-day', day: '2026-04-16' }],
  }),
  given('log-short', 'log-wraps', 'lamps', { controller: 'rack', days: 40, perDay: 6 }),
  read('controller-address', 'no-controller-takes-it', [
    'shelves:',
    'controllers: { rack: { unit: 100 } }\nshelves:',
  ]),
  given('load-contact-life', 'contact-life', 'front', {
    controller: 'rack',
    number: 1,
    operations: 25_000,
    life: 100_000,
    years: 1.2,
  }),
  given('visit-dropped', 'away', 'batches', {
    visits: [VISIT('lift', '2026-04-13'), VISIT('lift', '2026-04-16')],
  }),
  given('harvest-reminds-away', 'open-around-days-away', 'batches', {
    reminders: [VISIT('harvest', '2026-06-03')],
  }),
  given('visit-too-many', 'most', 'batches', { visits: [VISIT('look', '2026-04-13')] }),
  given('visit-moved', 'moved', 'batches', {
    visits: [VISIT('look', '2026-04-13', '2026-04-15')],
    joined: [VISIT('lift', '2026-04-13', '2026-04-16')],
  }),
];

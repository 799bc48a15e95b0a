/**
 * Stages, batches and visits of the resolved plan, against days counted by
 * hand on a calendar of 2026.
 */

import { describe, expect, test } from 'vitest';
import { severityOf } from '../../../compiler/findings/collector.ts';
import type { BatchZone } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type Change, codesOf, day, planOf, readChanged, sample, smallest } from '../../support/read-plan.ts';

const BATCH = (more: string): Change => ['sealed: 2026-02-16', `sealed: 2026-02-16, ${more}`];
const STAGES = (...stages: string[]): Change => [
  'batches:',
  `regimes:\n  mine:\n${stages.map((one) => `    - ${one}\n`).join('')}batches:`,
];

function stay(...changes: Change[]): BatchZone {
  const found = itemAt(smallest(...changes).batches, 0).zones[0];
  if (!found) throw new Error('no stay');
  return found;
}

/** `wake 2026-03-16 +14`. */
function course({ stages }: BatchZone): string[] {
  return stages.map(({ name, from, days }) => `${name} ${isoDate(from)} +${days}`);
}

describe('the built-in regime', () => {
  test('by the calendar', () => {
    expect(course(stay())).toEqual([
      'colonise 2026-02-16 +28',
      'wake 2026-03-16 +14',
      'climb 2026-03-30 +49',
      'ripen 2026-05-18 +21',
    ]);
  });

  test('bags stay until the harvest is over', () => {
    expect(isoDate(stay().free)).toBe('2026-06-08');
    const visits: Change = ['batches:', 'visits: { harvest: { from: 90 d, until: 120 d } }\nbatches:'];
    expect(isoDate(stay(visits).free)).toBe('2026-06-16');
    const short = STAGES('{ stage: wake, days: 10 }');
    expect(isoDate(stay(short).free)).toBe('2026-02-26');
  });

  test('what a stage leaves out comes from its namesake and is said', () => {
    const plan = smallest(
      STAGES('{ stage: colonise }', '{ stage: climb, days: 7, level: [100 lx, 900 lx] }'),
    );
    const [colonise, climb] = itemAt(itemAt(plan.batches, 0).zones, 0).stages;
    expect(colonise).toMatchObject({ days: 28, light: undefined, level: undefined });
    expect(climb).toMatchObject({ days: 7, light: { start: 480, photoperiod: 720 }, level: [100, 900] });
    expect(sure(climb).lift).toEqual({ recur: { kind: 'every', days: 3 }, at: 1080, fixed: false });
    const paths = plan.assumed.map(({ path }) => path);
    expect(paths).toContain('regimes.mine.colonise.days');
    expect(paths).toContain('regimes.mine.climb.photoperiod');
    expect(paths).not.toContain('regimes.mine.climb.days');
  });

  test('a stage of another name must say what it needs', () => {
    expect(codesOf(STAGES('{ stage: rest, photoperiod: 8 h }'))).toContain('key-missing');
    expect(codesOf(STAGES('{ stage: rest, days: 3 }'))).toContain('key-missing');
    expect(course(stay(STAGES('{ stage: rest, days: 2 wk, light: none }')))).toEqual(['rest 2026-02-16 +14']);
  });
});

describe('stages as they turn out', () => {
  test('began: the stage before stretches or shrinks, later ones follow', () => {
    expect(course(stay(BATCH('began: { climb: 2026-04-06 }')))).toEqual([
      'colonise 2026-02-16 +28',
      'wake 2026-03-16 +21',
      'climb 2026-04-06 +49',
      'ripen 2026-05-25 +21',
    ]);
    expect(course(stay(BATCH('began: { wake: 2026-03-10, climb: 2026-03-20 }'))).slice(0, 3)).toEqual([
      'colonise 2026-02-16 +22',
      'wake 2026-03-10 +10',
      'climb 2026-03-20 +49',
    ]);
  });

  test('enters: the zone is taken from that stage on', () => {
    const found = stay(BATCH('enters: wake'));
    expect(isoDate(found.enters)).toBe('2026-03-16');
    expect(course(found)[0]).toBe('wake 2026-03-16 +14');
  });

  test('ended: cuts the course and frees the zone', () => {
    const found = stay(BATCH('ended: 2026-04-10'));
    expect(course(found).at(-1)).toBe('climb 2026-03-30 +11');
    expect(isoDate(found.free)).toBe('2026-04-10');
    expect(isoDate(stay(BATCH('ended: 2026-09-01')).free)).toBe('2026-09-01');
  });

  test('ended zone by zone, and before it came there', () => {
    const zones = [
      'early: { sealed: 2026-02-16, zones: [A, C],',
      'early: { sealed: 2026-02-16, zones: [A, C], ended: { A: 2026-04-01 },',
    ] as const;
    const [a, c] = itemAt(planOf(readChanged('pantry', [zones])).batches, 0).zones;
    expect([isoDate(sure(a).free), isoDate(sure(c).free)]).toEqual(['2026-04-01', '2026-06-08']);
    expect(itemAt(smallest(BATCH('enters: wake, ended: 2026-03-01')).batches, 0).zones).toEqual([]);
  });

  test('then keep: the last light until ended, eight weeks at most', () => {
    const kept = stay(BATCH('then: keep, ended: 2026-06-20'));
    expect(course(kept).at(-1)).toBe('keep 2026-06-08 +12');
    expect(sure(kept.stages.at(-1)).light).toEqual({ start: 480, photoperiod: 720 });
    const long = stay(BATCH('then: keep, ended: 2026-12-01'));
    expect(course(long).at(-1)).toBe('keep 2026-06-08 +56');
    expect(isoDate(long.free)).toBe('2026-12-01');
    expect(course(stay(BATCH('then: keep'))).at(-1)).toBe('keep 2026-06-08 +56');
  });

  test('the wire rack: a batch comes in the day after another is out', () => {
    const { batches } = planOf(readChanged('wire-rack', []));
    const [first] = itemAt(batches, 0).zones;
    const [last] = itemAt(batches, 4).zones;
    expect([isoDate(sure(first).free), isoDate(sure(last).enters)]).toEqual(['2026-06-08', '2026-07-08']);
    expect(sample('wire-rack')).toContain('enters: wake');
  });
});

describe('lean', () => {
  const climb = (lean: string, ...more: Change[]) =>
    itemAt(stay(STAGES(`{ stage: climb, lean: ${lean} }`), ...more).stages, 0).lean;
  const SIDES = (front: string, back: string): Change[] => [
    ['side: front', `side: ${front}`],
    ['side: back', `side: ${back}`],
    ['[5, 1]', '[4, 1]'],
  ];

  test.each<[string, object]>([
    ['upright', { kind: 'upright' }],
    ['{ hold: left }', { motion: 'hold', sides: [270], by: 'lamps' }],
    ['{ hold: 45 deg }', { motion: 'hold', sides: [45] }],
    ['{ sway: [left, right], every: 5 d }', { motion: 'sway', sides: [270, 90], every: 5 }],
    ['{ sway: [front, back] }', { motion: 'sway', sides: [180, 0], every: 7 }],
    [
      '{ wind: [back, right, front, left], every: 1 wk }',
      { motion: 'wind', sides: [0, 90, 180, 270], every: 7 },
    ],
    ['sway', { motion: 'sway', sides: [180, 0], every: 7 }],
    [
      '{ sway: [front, back], every: 7 d, by: turning }',
      { motion: 'sway', sides: [180, 0], by: 'turning', lampSide: 180 },
    ],
  ])('%s', (lean, expected) => {
    expect(climb(lean)).toMatchObject(expected);
  });

  test('sway alone takes the sides on which the zone has lamps', () => {
    expect(climb('sway', ...SIDES('left', 'right'))).toMatchObject({ sides: [270, 90] });
    const { batches } = planOf(
      readChanged('pantry', [['lean: { sway: [left, right], every: 7 d }', 'lean: sway']]),
    );
    for (const { stages } of batches.flatMap(({ zones }) => zones)) {
      expect(itemAt(stages, 2).lean).toMatchObject({ motion: 'sway', sides: [270, 90], every: 7 });
    }
  });

  test('with lamps on one side it holds that side and says so', () => {
    expect(climb('sway', ['side: back', 'side: front'])).toMatchObject({ motion: 'hold', sides: [180] });
    expect(codesOf(STAGES('{ stage: climb, lean: sway }'), ['side: back', 'side: front'])).toContain(
      'lamp-one-side',
    );
    expect(
      codesOf(STAGES('{ stage: climb, lean: { sway: [left, right], by: turning } }'), [
        'side: back',
        'side: front',
      ]),
    ).not.toContain('lamp-one-side');
  });

  test.each([
    '{ hold: left, sway: [left, right] }',
    '{ hold: left, every: 7 d }',
    '{ every: 7 d }',
    '{ sway: [left] }',
    '{ sway: [left, left] }',
    '{ wind: [left] }',
    '{ wind: [left, right, left] }',
    '{ sway: [left, right], every: 36 h }',
    'swing',
    '{ hold: lefft }',
  ])('%s is refused, once', (lean) => {
    const errors = codesOf(STAGES(`{ stage: climb, lean: ${lean} }`)).filter(
      (code) => severityOf(code) === 'error',
    );
    expect(errors).toHaveLength(1);
  });
});

describe('visits', () => {
  const visits = (text: string) => smallest(['batches:', `visits: ${text}\nbatches:`]).visits;

  test('left out', () => {
    expect(smallest().visits).toMatchObject({
      hours: [[480, 1260]],
      pulse: { sound: true, light: true },
      look: { recur: { kind: 'every', days: 7 }, at: 1080, fixed: false },
      harvest: { from: 98, until: 112, at: 1080 },
      away: [],
    });
  });

  test('written', () => {
    const found = visits(
      '{ hours: [[7 am, 9 am], [17:00, 24:00]], most: 20 bags, pulse: light, look: { on: [Fri, Tue] }, away: [[2026-06-01, 2026-06-05], [2026-04-01, 2026-04-02]] }',
    );
    expect(found).toMatchObject({
      hours: [
        [420, 540],
        [1020, 1440],
      ],
      most: 20,
      pulse: { sound: false, light: true },
      look: { recur: { kind: 'weekdays', on: [1, 4] }, at: 1080, fixed: false },
      away: [
        [day('2026-04-01'), day('2026-04-02')],
        [day('2026-06-01'), day('2026-06-05')],
      ],
    });
  });

  test('without a time of its own a visit comes at 18:00, or when the hours begin', () => {
    expect(sure(visits('{ hours: [07:00, 09:00], look: { every: 7 d } }').look).at).toBe(420);
  });

  test('a lift for all goes to the lit stages that have none of their own', () => {
    const { stages } = stay(['batches:', 'visits: { lift: { every: 5 d } }\nbatches:']);
    expect(stages.map(({ lift }) => lift?.recur)).toEqual([
      undefined,
      ...Array(3).fill({ kind: 'every', days: 5 }),
    ]);
  });
});

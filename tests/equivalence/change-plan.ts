/**
 * Random plans around the clock changes of a place: short stages with any start
 * and length, batches that follow each other in a zone, stages observed early or
 * late, batches that come late or end early. Each as text, and as the facts that
 * `light_by_law.py` works from. Invented data.
 *
 * Always holds: starts and lengths are whole quarter hours, so that no stretch of
 * light is shorter than an output may burn; every plan compiles.
 */

import fc from 'fast-check';
import { offsetsFor, wallClock } from '../../compiler/plan/utc-offsets.ts';
import { clockTime, isoDate } from '../../shared/civil.ts';
import { civilDay, utcSeconds } from '../../shared/units.ts';
import { ZONES } from './zones.ts';

const DAY = 86_400;
/** 2026-01-01 and 2028-01-01. */
const [FIRST, END] = [9497, 10_227];

interface StageFacts {
  readonly days: number;
  /** 0: dark. */
  readonly minutes: number;
  readonly start: number;
  readonly sides: readonly ('left' | 'right' | 'upright')[];
  readonly every: number;
  /** The day on which it was seen to begin, ISO. */
  readonly began: string | null;
}

interface BatchFacts {
  readonly zone: string;
  readonly sealed: string;
  /** Index of the stage in which it comes to its zone. */
  readonly enters: number;
  readonly ended: string | null;
  readonly stages: readonly StageFacts[];
}

export interface PlanFacts {
  readonly timezone: string;
  readonly steady: boolean;
  /** Zone n has its left lamp on output 2n + 1 and its right one on 2n + 2, n from 0. */
  readonly zones: readonly string[];
  readonly batches: readonly BatchFacts[];
}

const quarters = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min, max }).map((count) => 15 * count);

const stage = fc.record({
  days: fc.integer({ min: 1, max: 4 }),
  minutes: fc.oneof(
    { weight: 6, arbitrary: quarters(1, 95) },
    { weight: 2, arbitrary: fc.constantFrom(1410, 1425, 1380) },
    { weight: 2, arbitrary: fc.constant(1440) },
    { weight: 2, arbitrary: fc.constant(0) },
  ),
  start: quarters(0, 95),
  sides: fc.constantFrom(
    ['upright'] as const,
    ['left'] as const,
    ['left', 'right'] as const,
    ['right', 'left'] as const,
  ),
  every: fc.integer({ min: 1, max: 2 }),
  /** Days by which it was seen to begin later (or earlier). */
  shift: fc.constantFrom(0, 0, 0, 1, -1),
});

const batch = fc.record({
  stages: fc.array(stage, { minLength: 1, maxLength: 3 }),
  enters: fc.integer({ min: 0, max: 2 }),
  gap: fc.constantFrom(0, 0, 0, 1),
  cut: fc.constantFrom(0, 0, 0, 1, 2),
});

type BatchDraw = typeof batch extends fc.Arbitrary<infer Value> ? Value : never;

/** A plan around one of the place's changes; a place without any has it anywhere. */
export const changePlan: fc.Arbitrary<{ facts: PlanFacts; text: string }> = fc
  .record({
    timezone: fc.constantFrom(...ZONES),
    steady: fc.boolean(),
    change: fc.nat(),
    before: fc.integer({ min: 0, max: 9 }),
    zones: fc.array(fc.array(batch, { minLength: 1, maxLength: 2 }), { minLength: 1, maxLength: 2 }),
  })
  .map(({ timezone, steady, change, before, zones }) => {
    const names = zones.map((_, at) => 'AB'.charAt(at));
    const first = changeDay(timezone, change) - before;
    const batches = zones.flatMap((drawn, at) => follow(drawn, names[at] ?? '', first));
    const facts = { timezone, steady, zones: names, batches };
    return { facts, text: textOf(facts) };
  });

/** The civil days on which a place's clock changes. */
export function changeDays(timezone: string): number[] {
  const offsets = offsetsFor(timezone, utcSeconds(FIRST * DAY), utcSeconds(END * DAY));
  return offsets.changes.map(({ at }) => wallClock(offsets, at).day);
}

function changeDay(timezone: string, which: number): number {
  const days = changeDays(timezone);
  return days[which % Math.max(1, days.length)] ?? FIRST + 10 + (which % (END - FIRST - 60));
}

/** Round-the-clock light up to the day of a change, on which another stage begins `early` minutes before it would end. */
export function cutRound(timezone: string, day: number, start: number, early: number): PlanFacts {
  const round = { days: 2, minutes: 1440, start, sides: ['left'], every: 1, began: null } as const;
  const next = { ...round, minutes: 600, start: start - early, sides: ['right'] } as const;
  const sealed = isoDate(civilDay(day - 2));
  const batch = { zone: 'A', sealed, enters: 0, ended: null, stages: [round, next] };
  return { timezone, steady: false, zones: ['A'], batches: [batch] };
}

/** Batches one after another in a zone, the first of which enters on `from`. */
function follow(drawn: readonly BatchDraw[], zone: string, from: number): BatchFacts[] {
  let free = from;
  return drawn.map((one) => {
    const enters = Math.min(one.enters, one.stages.length - 1);
    const placed = placeStages(one, enters, free + one.gap);
    free = placed.free;
    return { zone, enters, ...placed.facts };
  });
}

/** The stages' days, the one in which the batch enters beginning on `entry`. */
function placeStages(
  { stages, cut }: BatchDraw,
  enters: number,
  entry: number,
): { facts: Omit<BatchFacts, 'zone' | 'enters'>; free: number } {
  const days = stages.map((one, at) => {
    const shift = stages[at + 1]?.shift ?? 0;
    return { ...one, lasts: Math.max(1, one.days + shift) };
  });
  const sealed = entry - days.slice(0, enters).reduce((sum, { lasts }) => sum + lasts, 0);
  let at = sealed;
  const facts = days.map(({ days: usual, minutes, start, sides, every, lasts }, n) => {
    const previous = days[n - 1];
    const seen = previous !== undefined && previous.lasts !== previous.days;
    const began = seen ? isoDate(civilDay(at)) : null;
    at += lasts;
    return { days: usual, minutes, start, sides, every, began };
  });
  const over = at;
  const ended = cut > 0 && over - cut > entry ? over - cut : undefined;
  return {
    facts: {
      sealed: isoDate(civilDay(sealed)),
      ended: ended === undefined ? null : isoDate(civilDay(ended)),
      stages: facts,
    },
    free: ended ?? over,
  };
}

/** The plan of its facts. */
export function textOf({ timezone, steady, zones, batches }: PlanFacts): string {
  return [
    'leanward: 1',
    `place: { timezone: ${timezone} }`,
    ...(steady ? ['clock: steady'] : []),
    'shelves:',
    ...zones.map(
      (zone, at) => `  ${zone}s: { height: ${at * 700} mm, size: [900 mm, 400 mm], clear: 600 mm }`,
    ),
    'zones:',
    ...zones.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
    'lamps:',
    ...zones.flatMap((zone, at) => [
      `  ${zone}-left: { beside: ${zone}, side: left, output: ${2 * at + 1}, flux: 400 lm }`,
      `  ${zone}-right: { beside: ${zone}, side: right, output: ${2 * at + 2}, flux: 400 lm }`,
    ]),
    'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
    'regimes:',
    ...batches.flatMap((one, at) => [`  r${at}:`, ...one.stages.map(stageText)]),
    'batches:',
    ...batches.map(batchText),
    'visits: { look: { every: 60 d }, lift: { every: 60 d }, harvest: { from: 200 d, until: 210 d } }',
    '',
  ].join('\n');
}

function stageText({ days, minutes, start, sides, every }: StageFacts, at: number): string {
  const head = `    - { stage: s${at}, days: ${days}`;
  if (minutes === 0) return `${head}, light: none }`;
  const side =
    sides.length > 1 ? `{ sway: [${sides.join(', ')}], every: ${every} d }` : `{ hold: ${sides[0]} }`;
  const lean = sides[0] === 'upright' ? 'upright' : side;
  const light = `photoperiod: ${minutes} min, start: ${clockTime(start)}, level: [1 lx, 100000 lx]`;
  return `${head}, ${light}, lean: ${lean} }`;
}

function batchText({ zone, sealed, enters, ended, stages }: BatchFacts, at: number): string {
  const began = stages.flatMap((one, n) => (one.began === null ? [] : [`s${n}: ${one.began}`]));
  const rest = [
    ...(enters > 0 ? [`enters: s${enters}`] : []),
    ...(began.length > 0 ? [`began: { ${began.join(', ')} }`] : []),
    ...(ended === null ? [] : [`ended: ${ended}`]),
  ].map((part) => `, ${part}`);
  return `  b${at}: { sealed: ${sealed}, zones: [${zone}], regime: r${at}${rest.join('')} }`;
}

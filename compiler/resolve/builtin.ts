/**
 * Values taken where the plan says nothing, each with how sure it is.
 *
 * The crop's figures are common practice of the trade and the few published
 * ones: colonise 21–35 d, primordia to day 35–50, elongation 50–100 d, harvest
 * day 84–120 (no source of high confidence is known); light for primordia
 * 200–1,000 lx and for elongation 300–1,500 lx with 12 h (little evidence: it lies across two published
 * schedules, Poot 2010 as an excerpt: antlers 200–500 lx, 4–8 h, caps 500–1,500 lx, 12 h; after Stamets, from
 * memory, and common practice); every one may be overwritten.
 */

import type { Assumption, Range } from '../plan/plan.ts';

type Confidence = Assumption['confidence'];

/** A default, how the grower would write it, how sure it is, and why. */
export interface Default<Value> {
  readonly value: Value;
  readonly text: string;
  /** The same where the plan is in US units, if it differs. */
  readonly us?: string;
  readonly confidence: Confidence;
  readonly because: string;
}

export interface BuiltinStage {
  readonly name: string;
  readonly days: Default<number>;
  /** Undefined: dark. */
  readonly photoperiod: Default<number> | undefined;
  readonly level: Default<readonly [number, number]>;
  readonly lean: Default<'upright' | 'sway'>;
  /** Days between lifts; undefined: none. */
  readonly lift: Default<number> | undefined;
}

const days = (value: number, range: string, confidence: Confidence): Default<number> => ({
  value,
  text: `${value} d (${range})`,
  confidence,
  because: 'usual time of this stage',
});
const hours = (value: number, range: string, confidence: Confidence): Default<number> => ({
  value: value * 60,
  text: `${value} h${range}`,
  confidence,
  because: 'common practice',
});
const UPRIGHT: Default<'upright'> = {
  value: 'upright',
  text: 'upright',
  confidence: 'medium',
  because: 'no side is wanted',
};
const lift = (value: number): Default<number> => ({
  value,
  text: `every ${value} d (3–4 d)`,
  confidence: 'low',
  because: 'growth that touches the film sticks to it',
});

/** Level for lit stages that say nothing, lux. */
export const LEVEL_BAND: Default<readonly [number, number]> = {
  value: [300, 1500],
  text: '[300 lx, 1500 lx]',
  confidence: 'low',
  because: 'lies across two published: 200–500 lx, 4–8 h for antlers; 500–1500 lx, 12 h for caps',
};

/** The built-in regime. */
export const ANTLER: readonly BuiltinStage[] = [
  {
    name: 'colonise',
    days: days(28, '21–35', 'medium'),
    photoperiod: undefined,
    level: LEVEL_BAND,
    lean: UPRIGHT,
    lift: undefined,
  },
  {
    name: 'wake',
    days: days(14, '7–21', 'low'),
    photoperiod: hours(8, ' (4–12 h)', 'low'),
    level: {
      value: [200, 1000],
      text: '[200 lx, 1000 lx]',
      confidence: 'medium',
      because: 'usual for the first growth',
    },
    lean: UPRIGHT,
    lift: undefined,
  },
  {
    name: 'climb',
    days: days(49, '35–63', 'low'),
    photoperiod: hours(12, '', 'low'),
    level: LEVEL_BAND,
    lean: {
      value: 'sway',
      text: 'sway',
      confidence: 'low',
      because: 'swings between the sides on which the zone has lamps',
    },
    lift: lift(3),
  },
  {
    name: 'ripen',
    days: days(21, '14–28', 'low'),
    photoperiod: hours(12, '', 'low'),
    level: LEVEL_BAND,
    lean: UPRIGHT,
    lift: lift(4),
  },
];

/** Start of a photoperiod, minute of the day. */
export const START: Default<number> = {
  value: 480,
  text: '08:00',
  confidence: 'high',
  because: 'any start serves',
};

export const EVERY_DAYS: Default<number> = {
  value: 7,
  text: '7 d (4–14)',
  confidence: 'low',
  because: 'usual turn interval',
};

export const DENSITY: Default<number> = {
  value: 0.65,
  text: '0.65 kg/L (0.55–0.80)',
  us: '40 lb/ft3 (34–50)',
  confidence: 'low',
  because: 'no published value for a wet block; weigh and measure one',
};
export const FILM_PASSES: Default<number> = {
  value: 0.7,
  text: '0.7 (0.9 when dry)',
  confidence: 'medium',
  because: 'wet film',
};
export const FILM_SCATTERS: Default<number> = {
  value: 0.78,
  text: '0.78 (0.5 when dry)',
  confidence: 'low',
  because: 'published for wet polyethylene',
};
export const PART_MOISTURE: Default<number> = {
  value: 0.1,
  text: '10 %',
  confidence: 'low',
  because: 'air-dry material; weigh, dry and weigh again',
};
export const BLOCK_MOISTURE: Default<number> = {
  value: 0.6,
  text: '60 % (56–65)',
  confidence: 'medium',
  because: 'published range',
};
export const SPAWN_SHARE: Default<number> = {
  value: 0.05,
  text: '5 %',
  confidence: 'low',
  because: 'common practice',
};
export const WIRE_DECK: Default<number> = {
  value: 0.8,
  text: 'wire, passing 0.8 of light',
  confidence: 'low',
  because: 'open area of common wire decks',
};
/** Share of light thrown back, by the words for it (common tables of paints and papers, from memory). */
export const PALENESS: Readonly<Record<string, number>> = {
  black: 0.05,
  dark: 0.2,
  grey: 0.4,
  pale: 0.6,
  white: 0.8,
};
export const NO_SURFACES: Default<'black'> = {
  value: 'black',
  text: 'black',
  confidence: 'low',
  because: 'boards and walls may be pale: white ones soften contrast',
};
export const SOLID_DECK: Default<'solid'> = {
  value: 'solid',
  text: 'solid',
  confidence: 'high',
  because: 'the plan does not say wire',
};
export const LOOK_DAYS: Default<number> = {
  value: 7,
  text: 'every 7 d',
  confidence: 'low',
  because: 'mould is best found early',
};
/** Days after sealing: from the second week of the built-in ripening to its end; the starter writes the same. */
export const HARVEST_DAYS: Default<readonly [number, number]> = {
  value: [98, 112],
  text: 'from 98 d until 112 d (84–120)',
  confidence: 'low',
  because: 'or when the tips colour through',
};
export const HOURS: Default<readonly [number, number]> = {
  value: [480, 1260],
  text: '[08:00, 21:00]',
  confidence: 'medium',
  because: 'waking hours',
};
/** Visit time, where it lies within the visiting hours. */
export const VISIT_AT = 1080;
export const ROOM: Default<readonly [number, number]> = {
  value: [18, 27],
  text: '[18 C, 27 C]',
  us: '[64 F, 81 F]',
  confidence: 'medium',
  because: 'from the coolest published for antlers to the warmest for the spawn run',
};
/** Where lamps stand, a zone leaves this much of its shelf free, mm (3 in). */
export const LAMP_MARGIN_MM = 76.2;
/** A lamp beside a zone stands this far off it, mm (2 in), and ends this much short at each end, mm (1 in). */
export const LAMP_GAP_MM = 50.8;
export const LAMP_SHORT_MM = 25.4;
export const BEAM: Default<number> = {
  value: 120,
  text: '120 deg',
  confidence: 'medium',
  because: 'a bare light source without a lens',
};

/** Longest `then: keep`, days (8 weeks). */
export const KEEP_DAYS_MAX = 56;

type GrowthKey = 'rate' | 'tip' | 'pull' | 'gravity' | 'lag';

/** Inputs of the likely-lean estimate: all assumptions, to be corrected by the grower's own measurements. */
export const GROWTH: Readonly<Record<GrowthKey, Range & { readonly text: string; readonly us?: string }>> = {
  rate: { low: 1, mid: 2.5, high: 5, text: '2.5 mm/d (1–5)', us: '0.1 in/d (0.04–0.2)' },
  tip: { low: 5, mid: 8, high: 12, text: '8 mm (5–12)', us: '5/16 in (3/16–1/2)' },
  pull: { low: 0.1, mid: 0.4, high: 0.8, text: '0.4 (0.1–0.8)' },
  gravity: { low: 0.1, mid: 0.25, high: 1, text: '0.25 (0.1–1)' },
  lag: { low: 0.1, mid: 0.5, high: 2, text: '0.5 d (0.1–2)' },
};

/**
 * The leaves of the plan's shape: quantities, times, dates, words and names,
 * each a zod type that says what it expects in a form the words can use.
 *
 * Always holds: a wrong type carries `expects` and an example as JSON in the
 * issue's message; a wrong content carries its code and facts in `params`.
 */

import * as z from 'zod';
import { dayFromIso, PLAN_DAYS } from '../../shared/civil.ts';
import type { Expected, FactsOf, LimitFacts, QuantityKind } from '../findings/facts.ts';
import { SIDE_AZIMUTH, SIDE_NAMES } from '../plan/sides.ts';
import { parseTime, parseWeekday } from './moment.ts';
import { parseQuantity, type QuantityFault, unitsOf } from './quantity.ts';

/** What a leaf expects, as carried in an issue's message. */
export interface Expectation {
  readonly expects: Expected;
  readonly example: string;
  /** The kind of quantity, when it is one. */
  readonly kind?: QuantityKind;
  /** The words allowed, when it is one of a few. */
  readonly words?: readonly string[];
}

/** The codes of faults found inside a leaf. */
export type LeafCode =
  | 'unit-missing'
  | 'unit-other'
  | 'value-unreadable'
  | 'value-out-of-range'
  | 'value-unknown-word'
  | 'date-impossible'
  | 'date-unreadable'
  | 'time-unreadable'
  | 'stage-no-days';

/** A fault found inside a leaf, as carried in an issue's params. */
export type LeafFault = {
  readonly [C in LeafCode]: { readonly code: C; readonly facts: FactsOf[C] };
}[LeafCode];

/** The option of a zod type that says what it expects. */
export function expecting(expectation: Expectation): { error: string } {
  return { error: JSON.stringify(expectation) };
}

/** The expectation an issue's message carries, if it is one of ours. */
export function expectationIn(message: string): Expectation | undefined {
  return message.startsWith('{') ? (JSON.parse(message) as Expectation) : undefined;
}

interface Limits {
  readonly above?: number;
  readonly min?: number;
  readonly max?: number;
}

interface QuantityOptions extends Limits {
  /** The limits as a plan would write them. */
  readonly limits: LimitFacts;
  /** Only whole multiples of this many base units. */
  readonly step?: number;
}

function fail(ctx: z.core.ParsePayload<unknown>, fault: LeafFault): void {
  ctx.issues.push({ code: 'custom', input: ctx.value, params: { ...fault } });
}

function outside(value: number, { above, min, max, step }: QuantityOptions): boolean {
  if (above !== undefined && value <= above) return true;
  if (min !== undefined && value < min) return true;
  if (max !== undefined && value > max) return true;
  return step !== undefined && Math.abs(value / step - Math.round(value / step)) > 1e-9;
}

function quantityFault(text: string, kind: QuantityKind, example: string, found: QuantityFault): LeafFault {
  const base = { text, expects: kind, example, units: unitsOf(kind) };
  if (found.fault === 'unit missing') {
    return {
      code: 'unit-missing',
      facts: { ...base, number: found.number, unit: suggestedUnit(example, kind) },
    };
  }
  if (found.fault === 'wrong kind') {
    return { code: 'unit-other', facts: { ...base, unit: found.unit, found: found.found } };
  }
  if (found.fault === 'unit unknown')
    return { code: 'value-unreadable', facts: { ...base, unit: found.unit } };
  return { code: 'value-unreadable', facts: { ...base, repaired: found.comma } };
}

/** The unit to suggest: that of the example (`36 in`), or the commonest of its kind. */
export function suggestedUnit(example: string, kind: QuantityKind): string {
  const unit = example.replace(/^[\d./ ]+/, '');
  const units = unitsOf(kind);
  return units.includes(unit) ? unit : (units[0] ?? '');
}

/** A quantity of one kind, such as `36 in`, within limits given in base units. */
export function quantity(kind: QuantityKind, example: string, options: QuantityOptions) {
  return z
    .string(expecting({ expects: kind, example, kind }))
    .check((ctx) => {
      const result = parseQuantity(ctx.value, kind);
      if ('fault' in result) fail(ctx, quantityFault(ctx.value, kind, example, result));
      else if (outside(result.value, options)) {
        fail(ctx, {
          code: 'value-out-of-range',
          facts: { text: ctx.value, limits: options.limits, example },
        });
      }
    })
    .meta({ examples: [example], pattern: String.raw`^[-+−]?\s*\d*[./]?\d+.*[A-Za-z%°"'″′]\d?\s*$` });
}

/** A flux, whole (`350 lm`), per length (`450 lm/m`) or per watt (`90 lm/W`). */
export function fluxLeaf() {
  const example = '350 lm';
  return z
    .string(expecting({ expects: 'flux', example, kind: 'flux' }))
    .check((ctx) => {
      const perLength = parseQuantity(ctx.value, 'fluxPerLength');
      const perWatt = parseQuantity(ctx.value, 'efficacy');
      const other = 'fault' in perWatt ? parseQuantity(ctx.value, 'flux') : perWatt;
      const result = 'fault' in perLength ? other : perLength;
      if ('fault' in result) fail(ctx, quantityFault(ctx.value, 'flux', example, result));
      else if (result.value <= 0 || result.value > 200_000) {
        fail(ctx, {
          code: 'value-out-of-range',
          facts: { text: ctx.value, limits: { above: '0 lm', most: '200000 lm' }, example },
        });
      }
    })
    .meta({ examples: [example, '450 lm/m', '90 lm/W'] });
}

/** Limits of the two ways to say a colour as a quantity. */
const COLOURS = {
  colourTemperature: {
    min: 1500,
    max: 20_000,
    limits: { least: '1500 K', most: '20000 K' },
    example: '4000 K',
  },
  wavelength: { min: 380, max: 770, limits: { least: '380 nm', most: '770 nm' }, example: '455 nm' },
} as const;

/** A colour: the temperature of a white (`4000 K`), a wavelength (`455 nm`), or one of some words. */
export function colourLeaf(words: readonly string[]) {
  return z
    .string(expecting({ expects: 'colourTemperature', example: '4000 K' }))
    .check((ctx) => {
      if (words.includes(ctx.value)) return;
      const white = parseQuantity(ctx.value, 'colourTemperature');
      const kind = 'fault' in white ? 'wavelength' : 'colourTemperature';
      const result = kind === 'wavelength' ? parseQuantity(ctx.value, kind) : white;
      const { limits, example } = COLOURS[kind];
      if (!('fault' in result)) {
        if (outside(result.value, COLOURS[kind])) {
          fail(ctx, { code: 'value-out-of-range', facts: { text: ctx.value, limits, example } });
        }
      } else if (/\d/.test(ctx.value)) {
        fail(ctx, quantityFault(ctx.value, 'colourTemperature', COLOURS.colourTemperature.example, result));
      } else {
        fail(ctx, {
          code: 'value-unknown-word',
          facts: { text: ctx.value, words: [...words, '4000 K', '455 nm'] },
        });
      }
    })
    .meta({ examples: ['4000 K', '455 nm', ...words] });
}

/** A share: `0.7` or `70 %`. */
export function share(limits: Limits = { min: 0, max: 1 }) {
  const expectation: Expectation = { expects: 'share', example: '70 %' };
  return z
    .union([z.number(), z.string()], expecting(expectation))
    .check((ctx) => {
      const value = shareOf(ctx.value);
      if (value === undefined) {
        const facts: FactsOf['value-unreadable'] = {
          text: String(ctx.value),
          expects: 'share',
          example: '70 %',
          units: ['%'],
        };
        fail(ctx, { code: 'value-unreadable', facts });
      } else if (outside(value, { ...limits, limits: {} })) {
        fail(ctx, {
          code: 'value-out-of-range',
          facts: { text: String(ctx.value), limits: { least: '0 %', most: '100 %' }, example: '70 %' },
        });
      }
    })
    .meta({ examples: ['70 %', 0.7] });
}

/** The share a value stands for, 0–1; undefined when it is none. */
export function shareOf(value: unknown): number | undefined {
  if (typeof value === 'number') return value;
  const result = parseQuantity(String(value), 'share');
  return 'fault' in result ? undefined : result.value;
}

/** A time of day, such as `08:00` or `6 pm`. */
export function time() {
  return z
    .string(expecting({ expects: 'clock-time', example: '08:00' }))
    .check((ctx) => {
      if (parseTime(ctx.value) === undefined)
        fail(ctx, { code: 'time-unreadable', facts: { text: ctx.value } });
    })
    .meta({ examples: ['08:00', '6 pm'] });
}

/** A date, such as `2026-02-16`. */
export function date() {
  return z
    .string(expecting({ expects: 'date', example: '2026-02-16' }))
    .check((ctx) => {
      const wellFormed = /^\d{4}-\d{2}-\d{2}$/.test(ctx.value);
      if (!wellFormed) fail(ctx, { code: 'date-unreadable', facts: { text: ctx.value } });
      else if (dayFromIso(ctx.value) === undefined)
        fail(ctx, { code: 'date-impossible', facts: { text: ctx.value } });
      else if (ctx.value < PLAN_DAYS.least || ctx.value > PLAN_DAYS.most) {
        const facts = {
          text: ctx.value,
          limits: PLAN_DAYS,
          example: '2026-02-16',
        };
        fail(ctx, { code: 'value-out-of-range', facts });
      }
    })
    .meta({ examples: ['2026-02-16'], pattern: String.raw`^\d{4}-\d{2}-\d{2}$` });
}

/** A day of the week. */
export function weekdayLeaf() {
  return z
    .string(expecting({ expects: 'weekday', example: 'Mon' }))
    .check((ctx) => {
      if (parseWeekday(ctx.value) !== undefined) return;
      fail(ctx, {
        code: 'value-unknown-word',
        facts: { text: ctx.value, words: ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] },
      });
    })
    .meta({ examples: ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] });
}

/** Days as a whole number or a length of time: `28`, `28 d`, `4 wk`. */
export function wholeDays() {
  const expectation: Expectation = { expects: 'days', example: '28' };
  return z
    .union([z.number(), z.string()], expecting(expectation))
    .check((ctx) => {
      const days = daysOf(ctx.value);
      if (days === undefined) {
        const facts: FactsOf['value-unreadable'] = {
          text: String(ctx.value),
          expects: 'days',
          example: '28 d',
          units: ['d', 'wk'],
        };
        fail(ctx, { code: 'value-unreadable', facts });
      } else if (days === 0) fail(ctx, { code: 'stage-no-days', facts: {} });
      else if (days < 0 || days > 3650 || !Number.isInteger(days)) {
        const facts: FactsOf['value-out-of-range'] = {
          text: String(ctx.value),
          limits: { whole: 'days', least: '1', most: '3650' },
          example: '28',
        };
        fail(ctx, { code: 'value-out-of-range', facts });
      }
    })
    .meta({ examples: [28, '28 d', '4 wk'] });
}

/** The days a value stands for; undefined when it is none. */
export function daysOf(value: unknown): number | undefined {
  if (typeof value === 'number') return value;
  const result = parseQuantity(String(value), 'time');
  return 'fault' in result ? undefined : result.value / 1440;
}

/** Azimuth of a side word or an angle, 0–359.99 degrees; undefined when it is neither. */
export function azimuthOf(text: string): number | undefined {
  const name = SIDE_NAMES.find((one) => one === text);
  if (name) return SIDE_AZIMUTH[name];
  const angle = parseQuantity(text, 'angle');
  return 'fault' in angle ? undefined : ((angle.value % 360) + 360) % 360;
}

/** A side: a word, or degrees clockwise seen from above with 0 at the back. `extra` allows more words. */
export function side(extra: readonly string[] = []) {
  const words = [...SIDE_NAMES, ...extra];
  return z
    .string(expecting({ expects: 'side', example: 'left', kind: 'angle' }))
    .check((ctx) => {
      if (azimuthOf(ctx.value) !== undefined || words.includes(ctx.value)) return;
      fail(ctx, { code: 'value-unknown-word', facts: { text: ctx.value, words } });
    })
    .meta({ examples: [...words, '45 deg'] });
}

/** One of a few words. */
export function word<const Words extends readonly [string, ...string[]]>(words: Words) {
  return z.enum(words, expecting({ expects: 'one-word', example: words[0], words }));
}

/** Free text; a number counts as its digits. */
export function text() {
  return z.union([z.string(), z.number()], expecting({ expects: 'text', example: 'a few words' }));
}

/** The name of something else in the plan; a number counts as its digits. */
export function nameOf(what: string) {
  return z.union([z.string(), z.number()], expecting({ expects: `name-of-${what}`, example: 'A' }));
}

/** Yes or no. */
export function yesNo() {
  return z.union([z.boolean(), z.enum(['yes', 'no'])], expecting({ expects: 'yes-no', example: 'true' }));
}

/** A plain number without a unit. */
export function plainNumber(example: string, min: number, max: number) {
  return z.number(expecting({ expects: 'plain-number', example })).check((ctx) => {
    if (ctx.value >= min && ctx.value <= max) return;
    fail(ctx, {
      code: 'value-out-of-range',
      facts: { text: String(ctx.value), limits: { least: `${min}`, most: `${max}` }, example },
    });
  });
}

/** A whole number without a unit. */
export function whole(example: string, min: number, max: number) {
  return z.number(expecting({ expects: 'whole-number', example })).check((ctx) => {
    if (Number.isInteger(ctx.value) && ctx.value >= min && ctx.value <= max) return;
    const limits = { whole: 'number', least: `${min}`, most: `${max}` } as const;
    fail(ctx, { code: 'value-out-of-range', facts: { text: String(ctx.value), limits, example } });
  });
}

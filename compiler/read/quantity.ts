/**
 * Quantities as a grower writes them: `36 in`, `12 1/2 in`, `4 ft 2 in`,
 * `350 lm`, `70 F`, `12 h`.
 *
 * Always holds: a quantity carries its unit; the result is in the base unit of
 * its kind (below). Factors are exact: the inch, foot and pound by the
 * international agreement of 1959 (NIST SP 811, appendix B; BIPM SI Brochure).
 */

import type { QuantityKind } from '../findings/facts.ts';

interface Unit {
  readonly kind: QuantityKind;
  readonly factor: number;
  /** Added after the factor (temperatures). */
  readonly offset?: number;
}

const INCH_MM = 25.4;
const FOOT_MM = 304.8;
const POUND_KG = 0.45359237;
const CUBIC_FOOT_L = 28.316846592;

const UNITS: Readonly<Record<string, Unit>> = {
  mm: { kind: 'length', factor: 1 },
  cm: { kind: 'length', factor: 10 },
  m: { kind: 'length', factor: 1000 },
  in: { kind: 'length', factor: INCH_MM },
  ft: { kind: 'length', factor: FOOT_MM },
  g: { kind: 'mass', factor: 0.001 },
  kg: { kind: 'mass', factor: 1 },
  oz: { kind: 'mass', factor: POUND_KG / 16 },
  lb: { kind: 'mass', factor: POUND_KG },
  L: { kind: 'volume', factor: 1 },
  mL: { kind: 'volume', factor: 0.001 },
  lm: { kind: 'flux', factor: 1 },
  'lm/m': { kind: 'fluxPerLength', factor: 1 },
  'lm/ft': { kind: 'fluxPerLength', factor: 1000 / FOOT_MM },
  'lm/W': { kind: 'efficacy', factor: 1 },
  lx: { kind: 'illuminance', factor: 1 },
  fc: { kind: 'illuminance', factor: 1e6 / (FOOT_MM * FOOT_MM) },
  W: { kind: 'power', factor: 1 },
  V: { kind: 'voltage', factor: 1 },
  A: { kind: 'current', factor: 1 },
  mA: { kind: 'current', factor: 0.001 },
  nm: { kind: 'wavelength', factor: 1 },
  K: { kind: 'colourTemperature', factor: 1 },
  C: { kind: 'temperature', factor: 1 },
  F: { kind: 'temperature', factor: 5 / 9, offset: -160 / 9 },
  min: { kind: 'time', factor: 1 },
  h: { kind: 'time', factor: 60 },
  d: { kind: 'time', factor: 1440 },
  wk: { kind: 'time', factor: 10080 },
  '%': { kind: 'share', factor: 0.01 },
  deg: { kind: 'angle', factor: 1 },
  'kg/L': { kind: 'density', factor: 1 },
  'g/L': { kind: 'density', factor: 0.001 },
  'kg/m3': { kind: 'density', factor: 0.001 },
  'lb/ft3': { kind: 'density', factor: POUND_KG / CUBIC_FOOT_L },
  'mm/d': { kind: 'growth', factor: 1 },
  'in/d': { kind: 'growth', factor: INCH_MM },
  bags: { kind: 'bags', factor: 1 },
};

/** Other spellings a hand falls into; compared without regard to case. */
const SPELLINGS: Readonly<Record<string, string>> = {
  inch: 'in',
  inches: 'in',
  '"': 'in',
  '″': 'in',
  "'": 'ft',
  '′': 'ft',
  foot: 'ft',
  feet: 'ft',
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  lbs: 'lb',
  pound: 'lb',
  pounds: 'lb',
  ounce: 'oz',
  ounces: 'oz',
  grams: 'g',
  gram: 'g',
  litre: 'L',
  litres: 'L',
  liter: 'L',
  liters: 'L',
  lumen: 'lm',
  lumens: 'lm',
  lux: 'lx',
  watt: 'W',
  watts: 'W',
  volt: 'V',
  volts: 'V',
  amp: 'A',
  amps: 'A',
  ampere: 'A',
  amperes: 'A',
  '°c': 'C',
  '°f': 'F',
  minute: 'min',
  minutes: 'min',
  mins: 'min',
  hour: 'h',
  hours: 'h',
  hr: 'h',
  hrs: 'h',
  day: 'd',
  days: 'd',
  week: 'wk',
  weeks: 'wk',
  percent: '%',
  degree: 'deg',
  degrees: 'deg',
  '°': 'deg',
  'mm/day': 'mm/d',
  'in/day': 'in/d',
  'kg/l': 'kg/L',
  'g/cm3': 'kg/L',
  bag: 'bags',
};

/** Why a text is no quantity of the kind asked for. */
export type QuantityFault =
  | { readonly fault: 'unit missing'; readonly number: string }
  | { readonly fault: 'unit unknown'; readonly number: string; readonly unit: string }
  | { readonly fault: 'wrong kind'; readonly unit: string; readonly found: QuantityKind }
  | { readonly fault: 'unreadable'; readonly comma: string | undefined };

export type QuantityResult = { readonly value: number } | QuantityFault;

/** The units of a kind, the commonest first. */
export function unitsOf(kind: QuantityKind): readonly string[] {
  return Object.keys(UNITS).filter((name) => UNITS[name]?.kind === kind);
}

function findUnit(text: string): { name: string; unit: Unit } | undefined {
  const exact = UNITS[text];
  if (exact && Object.hasOwn(UNITS, text)) return { name: text, unit: exact };
  const lower = text.toLowerCase();
  const spelt = Object.hasOwn(SPELLINGS, lower)
    ? SPELLINGS[lower]
    : Object.keys(UNITS).find((name) => name.toLowerCase() === lower);
  const unit = spelt === undefined ? undefined : UNITS[spelt];
  return spelt !== undefined && unit ? { name: spelt, unit } : undefined;
}

/** The unit in which a whole quantity of this kind is written; undefined for anything else. */
export function unitOf(text: string, kind: QuantityKind): string | undefined {
  const match = PART.exec(text.trim());
  if (match?.[0] !== text.trim() || match[2] === undefined) return undefined;
  const found = findUnit(match[2]);
  return found?.unit.kind === kind ? found.name : undefined;
}

const NUMBER = String.raw`\d+ +\d+\/\d+|\d+\/\d+|\d+(?:\.\d+)?|\.\d+`;
const WORD = String.raw`[^\s\d.,+/-]+`;
const PART = new RegExp(String.raw`^\s*(${NUMBER})\s*(${WORD}/${WORD}[23]?|${WORD})?`);

function numberOf(text: string): number {
  const mixed = /^(?:(\d+) +)?(\d+)\/(\d+)$/.exec(text);
  if (!mixed) return Number(text);
  return Number(mixed[1] ?? 0) + Number(mixed[2]) / Number(mixed[3]);
}

/** Keeps a factor's rounding noise out of what is printed and compared. */
function tidy(value: number): number {
  return Math.round(value * 1e9) / 1e9;
}

/**
 * Reads a quantity of one kind.
 * @returns the value in the kind's base unit, or why it cannot be read.
 */
export function parseQuantity(text: string, kind: QuantityKind): QuantityResult {
  const trimmed = text.trim();
  const repaired = commaRepaired(trimmed);
  if (repaired !== undefined) return { fault: 'unreadable', comma: repaired };
  const sign = /^[-−]/.test(trimmed) ? -1 : 1;
  let rest = trimmed.replace(/^[-−+]\s*/, '');
  let sum = 0;
  const units = new Set<string | undefined>();
  while (rest.trim() !== '') {
    const match = PART.exec(rest);
    if (!match?.[1]) return { fault: 'unreadable', comma: undefined };
    const part = onePart(match[1], match[2], kind, sign);
    if ('fault' in part) return part;
    sum += part.value;
    rest = rest.slice(match[0].length);
    const unit = match[2] && findUnit(match[2])?.name;
    // `5 ft 2 in` is one quantity; `9 oz 8 oz` are two.
    if (units.has(unit) || (kind === 'temperature' && units.size > 0))
      return { fault: 'unreadable', comma: undefined };
    units.add(unit);
  }
  if (units.size === 0 || !Number.isFinite(sum)) return { fault: 'unreadable', comma: undefined };
  return { value: tidy(sum) };
}

function onePart(
  number: string,
  unitText: string | undefined,
  kind: QuantityKind,
  sign: number,
): QuantityResult {
  if (unitText === undefined) return { fault: 'unit missing', number };
  const found = findUnit(unitText);
  if (!found) return { fault: 'unit unknown', number, unit: unitText };
  if (found.unit.kind !== kind) return { fault: 'wrong kind', unit: found.name, found: found.unit.kind };
  return { value: sign * numberOf(number) * found.unit.factor + (found.unit.offset ?? 0) };
}

/** `2,5 kg` as `2.5 kg` and `1,200 mm` as `1200 mm`, when the comma is all that is wrong. */
function commaRepaired(text: string): string | undefined {
  const match = /^(\d+),(\d+)(\s*[^\d\s,]\S*)$/.exec(text);
  if (!match) return undefined;
  return `${match[1]}${match[2]?.length === 3 ? '' : '.'}${match[2]}${match[3]}`;
}

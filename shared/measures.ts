/**
 * Lengths, masses and temperatures as a grower weighs and measures them, metric or US.
 *
 * Always holds: what goes in is SI (mm, kg, °C); what comes out is rounded as a
 * person would and can be read off a rule or a kitchen scale: whole millimetres or
 * eighths of an inch; 5 g or a quarter ounce, of what was harvested as it was weighed; whole degrees Fahrenheit. The pound is
 * 0.45359237 kg and the inch 25.4 mm exactly; a US quart holds 0.946353 L (NIST
 * Handbook 44, appendix C; NIST SP 811, appendix B).
 */

/** The units a plan is written in, and so those in which its grower is answered. */
export type Units = 'metric' | 'us';

/** Which way a length is rounded: what is needed up, what there is down, so that they never read alike. */
export type Rounding = 'near' | 'up' | 'down';

const KG_PER_OUNCE = 0.45359237 / 16;
const KG_PER_POUND = 0.45359237;
const LITRES_PER_QUART = 0.946353;
export const MM_PER_INCH = 25.4;
export const GRAMS_PER_OUNCE = KG_PER_OUNCE * 1000;
const LITRES_PER_CUBIC_FOOT = 28.316846592;

const ROUND: Readonly<Record<Rounding, (value: number) => number>> = {
  near: Math.round,
  // What is whole but for the noise of a conversion stays as it is.
  up: (value) => Math.ceil(value - 1e-6),
  down: (value) => Math.floor(value + 1e-6),
};

/** `149 mm`; `5 7/8 in`, to the eighth of an inch. */
export function sizeWords(mm: number, units: Units, rounding: Rounding = 'near'): string {
  const round = ROUND[rounding];
  if (units === 'metric') return `${noMinusZero(round(mm))} mm`;
  return `${eighths(round((mm / MM_PER_INCH) * 8))} in`;
}

/** The same for what is only estimated: to the half inch from 2 inches on. */
export function roughSize(mm: number, units: Units): string {
  const inches = mm / MM_PER_INCH;
  if (units === 'metric' || Math.abs(inches) < 2) return sizeWords(mm, units);
  return `${eighths(4 * Math.round(inches * 2))} in`;
}

const noMinusZero = (value: number): number => (value === 0 ? 0 : value);

/** `12 1/2` of 100 eighths. */
function eighths(count: number): string {
  const [sign, all] = [count < 0 ? '-' : '', Math.abs(count)];
  const [whole, rest] = [Math.floor(all / 8), all % 8];
  if (rest === 0) return `${all === 0 ? '' : sign}${whole}`;
  const by = rest % 4 === 0 ? 4 : rest % 2 === 0 ? 2 : 1;
  return `${sign}${whole === 0 ? '' : `${whole} `}${rest / by}/${8 / by}`;
}

/** `1.35 kg`, `455 g`; `3 lb 4 oz`, `5.25 oz`. */
export function massWords(kg: number, units: Units): string {
  return kg < 0 ? `−${plainMass(-kg, units)}` : plainMass(kg, units);
}

function plainMass(kg: number, units: Units): string {
  if (units === 'us') return usMass(kg);
  const grams = Math.round(kg * 200) * 5;
  return grams < 1000 ? `${grams} g` : `${(grams / 1000).toFixed(grams % 10 === 0 ? 2 : 3)} kg`;
}

/** Rounded to so many parts of an ounce. */
function usMass(kg: number, parts = 4): string {
  const all = Math.round((kg / KG_PER_OUNCE) * parts);
  const pounds = Math.floor(all / (16 * parts));
  const ounces = (all % (16 * parts)) / parts;
  if (pounds === 0) return `${ounces} oz`;
  return ounces === 0 ? `${pounds} lb` : `${pounds} lb ${ounces} oz`;
}

/** A harvest as it was weighed: `85 g`, `85.4 g`; `3 oz`, `0.85 oz`, `1 lb 2.5 oz`. */
export function harvestWords(grams: number, units: Units): string {
  return units === 'us' ? usMass(grams / 1000, 100) : `${Math.round(grams * 10) / 10} g`;
}

/** The mean of harvests: `85 g`; `3.05 oz`, to the twentieth of an ounce. */
export function meanHarvestWords(grams: number, units: Units): string {
  return units === 'us' ? usMass(grams / 1000, 20) : `${Math.round(grams)} g`;
}

/** Growth a day: `2.9 mm`; `0.11 in`. */
export function growthWords(mmPerDay: number, units: Units): string {
  if (units === 'us') {
    const inches = mmPerDay / MM_PER_INCH;
    return `${noMinusZero(Number(inches.toFixed(Math.abs(inches) < 0.01 ? 3 : 2)))} in`;
  }
  return `${noMinusZero(Number(mmPerDay.toFixed(1)))} mm`;
}

/** Mass that came of so much mass, from its share: `132 g` of a kilogram; `2.1 oz` of a pound. */
export function yieldWords(share: number, units: Units): string {
  if (units === 'us') return `${Number((share * 16).toFixed(1))} oz`;
  return `${Math.round(share * 1000)} g`;
}

/** A load for somebody who lifts or carries it: `119 kg`; `262 lb`. */
export function carryWords(kg: number, units: Units): string {
  // Halves go down, whatever the noise of the conversion.
  const whole = Math.ceil((units === 'us' ? kg / KG_PER_POUND : kg) - 0.5 - 1e-9);
  return units === 'us' ? `${whole} lb` : `${whole} kg`;
}

/** The volume of water: `1.32 L`; `1.39 qt`. */
export function waterVolume(kg: number, units: Units): string {
  return units === 'us' ? `${(kg / LITRES_PER_QUART).toFixed(2)} qt` : `${kg.toFixed(2)} L`;
}

const fahrenheit = (celsius: number): number => (celsius * 9) / 5 + 32;

/** `21 °C`, with `digits` after the point; `70 °F`, always whole. */
export function temperature(celsius: number, units: Units, digits = 0): string {
  return units === 'us' ? `${degrees(fahrenheit(celsius), 0)} °F` : `${degrees(celsius, digits)} °C`;
}

const degrees = (value: number, digits: number): string =>
  noMinusZero(Number(value.toFixed(digits))).toFixed(digits);

/** `21–27 °C`; `70–81 °F`. */
export function temperatureBand(
  band: { readonly low: number; readonly high: number },
  units: Units,
  digits = 0,
): string {
  const low = temperature(band.low, units, digits).replace(/ °[CF]$/, '');
  return `${low}–${temperature(band.high, units, digits)}`;
}

/** A temperature where no plan says in which units: `21.5 °C (71 °F)`. */
export function temperatureInBoth(celsius: number): string {
  return `${temperature(celsius, 'metric', 1)} (${temperature(celsius, 'us')})`;
}

/** How a quantity written in one system is written in the other: by its unit. */
const IN_US: Readonly<Record<string, (value: number, limit: boolean) => string>> = {
  mm: (value, limit) => inches(value, limit),
  cm: (value, limit) => inches(value * 10, limit),
  m: (value, limit) => inches(value * 1000, limit),
  g: (value) => usMass(value / 1000),
  kg: (value) =>
    value > 10 ? carryWords(value, 'us') : usMass(Math.round(value / KG_PER_OUNCE) * KG_PER_OUNCE),
  C: (value) => `${degrees(fahrenheit(value), 0)} F`,
  'mm/d': (value) => `${round2(value / MM_PER_INCH)} in/d`,
  'kg/L': (value) => `${Math.round((value * LITRES_PER_CUBIC_FOOT) / KG_PER_POUND)} lb/ft3`,
  'lm/m': (value) => `${Math.round(value * 0.3048)} lm/ft`,
};

const IN_METRIC: Readonly<Record<string, (value: number) => string>> = {
  in: (value) => millimetres(value * MM_PER_INCH),
  ft: (value) => millimetres(value * 12 * MM_PER_INCH),
  oz: (value) => `${round2(value * KG_PER_OUNCE * 1000)} g`,
  lb: (value) => `${round2(value * KG_PER_POUND)} kg`,
  F: (value) => `${Math.round(((value - 32) * 5) / 9)} C`,
};

/** An example or a limit in inches: to the quarter, from a foot on whole; a limit from 10 ft on in whole feet, inward. */
function inches(mm: number, limit: boolean): string {
  const value = mm / MM_PER_INCH;
  if (limit && Math.abs(value) >= 120) return `${Math.trunc(value / 12)} ft`;
  if (Math.abs(value) >= 12) return `${limit ? Math.trunc(value) : Math.round(value)} in`;
  return `${eighths(value >= 1 ? 2 * Math.round(value * 4) : Math.round(value * 8))} in`;
}

const millimetres = (mm: number): string => `${round2(mm)} mm`;

/** Two significant figures: what a person would say in place of a conversion. */
function round2(value: number): number {
  return Number(value.toPrecision(2));
}

const METRIC_UNIT = /(-?\d+(?:\.\d+)?) (mm\/d|kg\/L|lm\/m|mm|cm|m|kg|g|C)(?![\w/])/g;
const US_UNIT = /(-?\d+(?:\.\d+)?) (in|ft|oz|lb|F)(?![\w/])/g;

/**
 * Examples (`[60 mm, 560 mm]`) and limits as a plan would write them, in the units of the plan at hand;
 * figures are rounded, for an example needs no more. Text without a quantity stays as it is.
 */
export function inUnits(text: string, units: Units, limit = false): string {
  const [pattern, others] = units === 'us' ? [METRIC_UNIT, IN_US] : [US_UNIT, IN_METRIC];
  return text.replace(pattern, (whole, number: string, unit: string) => {
    const written = others[unit];
    return written ? written(Number(number), limit) : whole;
  });
}

/** A unit of one system for the same kind of thing in the other. */
const TWINS: readonly (readonly [metric: string, us: string])[] = [
  ['mm', 'in'],
  ['cm', 'in'],
  ['m', 'ft'],
  ['kg', 'lb'],
  ['g', 'oz'],
  ['C', 'F'],
  ['mm/d', 'in/d'],
  ['kg/L', 'lb/ft3'],
  ['g/L', 'lb/ft3'],
  ['kg/m3', 'lb/ft3'],
  ['lm/m', 'lm/ft'],
];

/** The unit that stands for this one in a plan's own units: `in` for `mm`. */
export function unitIn(unit: string, units: Units): string {
  const twin = TWINS.find((pair) => pair[units === 'us' ? 0 : 1] === unit);
  return twin?.[units === 'us' ? 1 : 0] ?? unit;
}

/** Of the units of one kind those that a plan in `units` would use. */
export function unitsSpoken(all: readonly string[], units: Units): readonly string[] {
  return [...new Set(all.map((unit) => unitIn(unit, units)))];
}

/** Which system a unit belongs to; undefined for one that both use. */
export function systemOf(unit: string): Units | undefined {
  if (TWINS.some(([, us]) => us === unit)) return 'us';
  return TWINS.some(([metric]) => metric === unit) ? 'metric' : undefined;
}

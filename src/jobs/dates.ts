/** Dates and quantities on the command line. */

import type { QuantityKind } from '../../compiler/findings/facts.ts';
import { civilDayAt } from '../../compiler/plan/place-time.ts';
import { parseQuantity, unitsOf } from '../../compiler/read/quantity.ts';
import { dayFromIso, utcFromUnixMs } from '../../shared/civil.ts';
import { inUnits, type Units, unitsSpoken } from '../../shared/measures.ts';
import type { CivilDay } from '../../shared/units.ts';
import { usage } from '../failure.ts';
import { list } from '../words/lists.ts';

/** The civil day that an option gives; `option` is its name with an example date. */
export function dayOption(text: string, option: string): CivilDay {
  const day = dayFromIso(text);
  if (day === undefined) throw usage(`'${text}' is not a date.`, `Write ${option} 2026-04-13.`);
  return day;
}

/** Today at a place, unless another day is named. */
export function todayAt(timezone: string, named: string | undefined): CivilDay {
  if (named !== undefined) return dayOption(named, '--day');
  return civilDayAt(timezone, utcFromUnixMs(Date.now()));
}

/** Refuses a decimal comma, where that is all that is wrong. */
export function refuseComma(text: string, kind: QuantityKind): void {
  const read = parseQuantity(text, kind);
  if ('comma' in read && read.comma !== undefined)
    throw usage('Numbers are written without commas, and decimals with a point.', `Write ${read.comma}.`);
}

/** What is wrong with a quantity that cannot be read: it has no unit of its kind, or is none at all. */
export function unreadWords(text: string, kind: QuantityKind, units: Units): string {
  const result = parseQuantity(text, kind);
  const kinds = list(unitsSpoken(unitsOf(kind), units));
  const isNone = 'fault' in result && result.fault === 'unreadable';
  return isNone
    ? `'${text}' cannot be read as one quantity; units are ${kinds}.`
    : `'${text}' needs a unit (${kinds}).`;
}

/** A quantity that an option gives, in the base unit of its kind; undefined when it was not given. What is wrong is said in `units`. */
export function quantityOption(
  text: string | undefined,
  kind: QuantityKind,
  option: string,
  units: Units,
): number | undefined {
  if (text === undefined) return undefined;
  const result = parseQuantity(text, kind);
  if ('value' in result) return result.value;
  refuseComma(text, kind);
  throw usage(unreadWords(text, kind, units), `Write ${inUnits(option, units)}.`);
}

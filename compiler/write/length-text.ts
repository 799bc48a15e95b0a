/**
 * Lengths as they are written into a plan.
 *
 * Always holds: to a tenth of a millimetre or a hundredth of an inch, so that
 * what is moved there and back reads as it did.
 */

import { sure } from '../../shared/assert.ts';
import type { Units } from '../../shared/measures.ts';

const UNIT_MM: Readonly<Record<string, number>> = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };
const DECIMALS: Readonly<Record<string, number>> = { mm: 1, cm: 2, m: 4, in: 2, ft: 3 };

/** A length (mm) as it is written in a unit. */
export function lengthText(mm: number, unit: string): string {
  const value = mm / sure(UNIT_MM[unit]);
  return `${Number(value.toFixed(sure(DECIMALS[unit]))) + 0} ${unit}`;
}

/** The unit in which a plan's lengths are written where they do not say another. */
export const lengthUnit = (units: Units): 'mm' | 'in' => (units === 'us' ? 'in' : 'mm');

/** Figures rounded for a report. */

/** So many digits after the point; never −0. */
export function round(value: number, digits: number): number {
  const scale = 10 ** digits;
  // Adding zero turns −0 into 0.
  return Math.round(value * scale) / scale + 0;
}

/** The same, undefined staying that. */
export const rounded = (value: number | undefined, digits: number): number | undefined =>
  value === undefined ? undefined : round(value, digits);

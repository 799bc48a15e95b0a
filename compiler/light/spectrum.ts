/**
 * Reads a lamp's spectrum: a plain text of two columns, wavelength in nm and radiant power
 * per nm in any unit, parted by comma, semicolon, tab or spaces. What follows `#` is left
 * out, and so is one line of headings. With semicolons or tabs between, a comma within a
 * number is its decimal point.
 *
 * Always holds: nothing is thrown; a bad file gives a fault with its line; wavelengths
 * ascend, powers are not negative, and something of it lies where the eye sees.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { SEEN } from './blue.ts';

/** Power at a wavelength (nm), in any unit. */
type Point = readonly [nanometres: number, power: number];

/** Points by ascending wavelength; between them power runs straight, beyond them there is none. */
export type Spectrum = readonly Point[];

interface SpectrumFault {
  /** 1-based line. */
  readonly line: number;
  /** What is wrong: a stable word for the findings. */
  readonly fault: 'not-two-numbers' | 'not-ascending' | 'negative' | 'too-few' | 'cut-off' | 'no-light';
}

type SpectrumRead =
  | { readonly spectrum: Spectrum; readonly fault?: undefined }
  | { readonly spectrum?: undefined; readonly fault: SpectrumFault };

/** Fewer points are no spectrum. */
export const POINTS_LEAST = 5;
/** A file that begins after or ends before these, nm, must have come down to little there (own). */
export const WHOLE = { from: 400, to: 700 } as const;
/** As a share of its greatest power. */
const LITTLE = 0.05;

/** Reads a file's text, a character a byte or decoded. */
export function readSpectrum(text: string): SpectrumRead {
  const points: Point[] = [];
  const bare = text.replace(/^(?:\uFEFF|\u00EF\u00BB\u00BF)/, '');
  let isHeadingDue = true;
  let last = 1;
  for (const [n, written] of bare.split(/\r\n|\r|\n/).entries()) {
    const fields = fieldsOf(written);
    if (fields === undefined) continue;
    last = n + 1;
    const numbers = fields.map(numberOf);
    const isHeading = isHeadingDue && numbers.every((value) => value === undefined);
    isHeadingDue = false;
    if (isHeading) continue;
    const [nanometres, power, ...more] = numbers;
    if (nanometres === undefined || power === undefined || more.length > 0)
      return { fault: { line: last, fault: 'not-two-numbers' } };
    if (nanometres < 0 || power < 0) return { fault: { line: last, fault: 'negative' } };
    if (nanometres <= (points.at(-1)?.[0] ?? -1)) return { fault: { line: last, fault: 'not-ascending' } };
    points.push([nanometres, power]);
  }
  const fault = wholeFault(points);
  return fault === undefined ? { spectrum: points } : { fault: { line: last, fault } };
}

/** The columns of a line; undefined where there is nothing but a remark. */
function fieldsOf(line: string): string[] | undefined {
  const text = line.replace(/#.*$/, '').trim();
  if (text === '') return undefined;
  if (!/[;\t]/.test(text)) return text.split(/\s*,\s*|\s+/);
  return text.split(/[;\t]/).map((field) => field.trim().replace(/^([^,]*),([^,]*)$/, '$1.$2'));
}

function numberOf(text: string): number | undefined {
  const value = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?$/i.test(text) ? Number(text) : Number.NaN;
  return Number.isFinite(value) ? value : undefined;
}

/** What is wrong with the points as a whole. */
function wholeFault(points: Spectrum): SpectrumFault['fault'] | undefined {
  if (points.length < POINTS_LEAST) return 'too-few';
  const most = points.reduce((greatest, [, power]) => Math.max(greatest, power), 0);
  const seen = points.some(([at, power]) => at > SEEN.from && at < SEEN.to && power > most * 1e-9);
  if (!seen) return 'no-light';
  const [first, end] = [itemAt(points, 0), sure(points.at(-1))];
  const isOpen = (power: number): boolean => power > LITTLE * most;
  if (first[0] > WHOLE.from && isOpen(first[1])) return 'cut-off';
  if (end[0] < WHOLE.to && isOpen(end[1])) return 'cut-off';
  return undefined;
}

/** Sides and the pull of light in words. */

import { sideNamed } from '../../compiler/plan/sides.ts';
import type { Pull } from '../../compiler/steer/pull.ts';

/** `left`, or `45°` between the four sides. */
export function sideWord(azimuth: number): string {
  return sideNamed(azimuth) ?? `${Math.round(azimuth * 10) / 10}°`;
}

/** `to the left`, `toward the front`: how growth leans to a side named in words. */
export function towardWords(side: string): string {
  return side === 'left' || side === 'right' ? `to the ${side}` : `toward the ${side}`;
}

const EIGHT = [
  'back',
  'back right',
  'right',
  'front right',
  'front',
  'front left',
  'left',
  'back left',
] as const;

/** The word for a pull: `dark`, `upright`, or the nearest of eight sides. */
export function pullWord(pull: Pull): string {
  return typeof pull === 'number' ? (EIGHT[Math.round(pull / 45) % EIGHT.length] ?? '') : pull;
}

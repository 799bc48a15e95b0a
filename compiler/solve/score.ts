/**
 * How far a zone's light lies outside what is asked for, in whole numbers, and the
 * order in which wants are met.
 *
 * Always holds: only what exceeds the tolerances counts as unmet; scores are compared
 * part by part in the order of the parts (`WANTS`), without weights. Figures are
 * hundredths; an excess is counted in begun steps that matter to growth (a tenth of the
 * light a bag lacks, a degree, a tenth of a ratio, a hundredth of the band's edge, a
 * lux), so that no hundredth of a degree for one zone outranks the whole balance of
 * another. A bag that cannot be reached counts for its missing light and for nothing
 * else, so that it never makes darkness the better answer for the bags beside it.
 */

import { itemAt } from '../../shared/assert.ts';
import { filmContrast } from '../light/film.ts';
import { FACES, STEADY_FACES, VECTOR } from '../light/row.ts';
import type { ResolvedBag } from '../plan/plan.ts';

/** The parts of a score, most important first; `WANTS` says each in words. */
export const OVERLOAD = 0;
export const UNLIT = 1;
export const DIRECTION = 2;
export const CONTRAST = 3;
export const LEVEL = 4;
export const LEAK = 5;
export const TIGHT = 6;
export const PATTERNS = 7;
export const CHANGES = 8;
export const ENERGY = 9;
export const NUMBERS = 10;
/** Length of a score. */
export const LENGTH = 11;
/** The parts before this one tell what is unmet; the rest only choose between equals. */
export const UNMET = TIGHT;

/** What is wanted, the most important first: one line for each part of a score. */
export const WANTS: readonly string[] = [
  'never more than the circuit and the supplies carry',
  'light on every bag that can be reached, from the side asked for',
  'the pull within 10° of that side',
  'contrast of 5 : 1 toward it, or for upright no side over 2 : 1',
  'the level inside its band',
  'dark in the zones that are to be dark',
  'room to every limit',
  'one setting the whole time rather than two in turn',
  'few switchings',
  'little energy',
  'the lower output numbers',
];

/** Allowed angle between the pull and the side asked for: 10°. */
export const ANGLE_MOST = 1000;
/** Wanted ratio of the lit face to the opposite one: 5 : 1. */
export const CONTRAST_LEAST = 500;
/** Most one face of an upright zone may get over the opposite one: 2 : 1. */
export const BALANCE_MOST = 200;
/** Dark is at most 5 lx (assumed). */
export const DARK_MOST = 500;
/** A ratio is not followed beyond this. */
const RATIO_CAP = 100_000;
/** A bag counts as unlit below this share of what the room's own light leaves missing of the band's low end. */
const LIT_SHARE = 4;
/** Further than this beside the side asked for, light comes from another side: half way to the next of the four. */
export const OTHER_SIDE = 4500;
/** Missing light of a bag is counted in tenths; a dark one lacks all ten. */
export const LACK_ALL = 10;
/** Tightness of a zone none of whose bags is reached: narrowest room first, then all three together. */
export const TIGHT_ALL = LACK_ALL * 100 + 3 * LACK_ALL;
/** Where the film itself forbids 5 : 1, this share of what it allows is wanted. */
const POSSIBLE_SHARE = 0.8;

/** What a zone asks for while a cell lasts. */
export type Ask =
  | { readonly kind: 'dark' }
  | {
      readonly kind: 'lit';
      /** Column of the face toward the side and of the opposite face; undefined for upright. */
      readonly side: Side | undefined;
      /** Wanted level, hundredths of a lux. */
      readonly low: number;
      readonly high: number;
      /** Wanted contrast, hundredths. */
      readonly contrast: number;
    };

export interface Side {
  readonly azimuth: number;
  readonly normal: readonly [number, number];
  readonly face: number;
  readonly opposite: number;
}

/** The best contrast a film allows, hundredths, as for one far lamp square to the face. */
export function contrastPossible(film: ResolvedBag['film']): number {
  return Math.min(RATIO_CAP, Math.round(100 * filmContrast(film)));
}

/** The contrast to be met behind a film: 5 : 1, or four fifths of what the film allows where that is no more. */
export function contrastWanted(film: ResolvedBag['film']): number {
  const possible = contrastPossible(film);
  return possible > CONTRAST_LEAST ? CONTRAST_LEAST : Math.round(possible * POSSIBLE_SHARE);
}

/** Angle in plan between the pull of a row and a side, hundredths of a degree; 180° where nothing pulls. */
export function angleOff(rows: ArrayLike<number>, at: number, side: Side): number {
  const [x, y] = [itemAt(rows, at + VECTOR), itemAt(rows, at + VECTOR + 1)];
  if (x === 0 && y === 0) return 18_000;
  const [nx, ny] = side.normal;
  return Math.round((Math.abs(Math.atan2(x * ny - y * nx, x * nx + y * ny)) * 18_000) / Math.PI);
}

/** Ratio of two faces in hundredths, at most 1000 : 1; 0 where the first is unlit. */
export function ratio(face: number, opposite: number): number {
  if (face <= 0) return 0;
  return opposite <= 0 ? RATIO_CAP : Math.min(RATIO_CAP, Math.round((100 * face) / opposite));
}

/** The greatest ratio of any steady face of a row to the opposite one, hundredths. */
export function imbalance(rows: ArrayLike<number>, at: number): number {
  let worst = 100;
  for (let i = FACES; i < FACES + STEADY_FACES; i += 2) {
    const [a, b] = [itemAt(rows, at + i), itemAt(rows, at + i + 1)];
    worst = Math.max(worst, a > b ? ratio(a, b) : ratio(b, a));
  }
  return worst;
}

/** For each pair of opposite faces of a row the begun tenths beyond 2 : 1, negative where the second is the brighter. */
export function pairBalance(rows: ArrayLike<number>, at: number): number[] {
  const signed: number[] = [];
  for (let i = FACES; i < FACES + STEADY_FACES; i += 2) {
    const [a, b] = [itemAt(rows, at + i), itemAt(rows, at + i + 1)];
    const excess = begun((a > b ? ratio(a, b) : ratio(b, a)) - BALANCE_MOST, 10);
    signed.push(a > b ? excess : -excess);
  }
  return signed;
}

/** Begun degrees beyond tolerance for one bag's row. */
export const directionExcess = (rows: ArrayLike<number>, at: number, side: Side): number =>
  begun(angleOff(rows, at, side) - ANGLE_MOST, 100);

/** Begun steps of `size` in an excess; none when nothing exceeds. */
export const begun = (excess: number, size: number): number => (excess > 0 ? Math.ceil(excess / size) : 0);

/** Begun tenths of contrast missing (or, upright, of imbalance beyond 2 : 1) for one bag's row. */
export function contrastExcess(rows: ArrayLike<number>, at: number, ask: Ask & { kind: 'lit' }): number {
  return contrastExcessOf(contrastOf(rows, at, ask), ask);
}

/** The lit face over the opposite one, for upright the greatest ratio of opposite faces, hundredths. */
const contrastOf = (rows: ArrayLike<number>, at: number, { side }: Ask & { kind: 'lit' }): number =>
  side ? ratio(itemAt(rows, at + side.face), itemAt(rows, at + side.opposite)) : imbalance(rows, at);

/** The same for a contrast (for upright an imbalance) that is known. */
export const contrastExcessOf = (contrast: number, ask: Ask & { kind: 'lit' }): number =>
  begun(ask.side ? ask.contrast - contrast : contrast - BALANCE_MOST, 10);

/** Level below which a bag counts as unlit, where the room alone gives it `room`; 0 where the room gives enough. */
export const leastLit = (low: number, room = 0): number =>
  room > 0 && room >= low ? 0 : Math.max(DARK_MOST, room + (low - room) / LIT_SHARE);

/** Whether a level counts as no light at all for this ask. */
export const isUnlit = (level: number, low: number, room = 0): boolean => level < leastLit(low, room);

/** Begun tenths of the way from the room's light to the floor that are missing. */
export function lackOf(level: number, low: number, room: number): number {
  const floor = leastLit(low, room);
  if (level >= floor) return 0;
  return Math.min(LACK_ALL, Math.ceil(((floor - level) * LACK_ALL) / (floor - room)));
}

/** Begun tenths that a share of room (1: as much as counts, 0: at the limit) lacks of all. */
const lacking = (room: number): number => Math.ceil(LACK_ALL * (1 - Math.max(0, Math.min(1, room))) - 1e-9);

/** Tenths of room that a bag's row lacks to the direction's and the contrast's limits. */
export function lackOfRoom(
  rows: ArrayLike<number>,
  at: number,
  ask: Ask & { kind: 'lit' },
): readonly [direction: number, contrast: number] {
  return lackOfRoomOf(ask.side ? angleOff(rows, at, ask.side) : 0, contrastOf(rows, at, ask), ask);
}

/** The same for an angle and a contrast (for upright an imbalance) that are known. */
export function lackOfRoomOf(
  off: number,
  contrast: number,
  ask: Ask & { kind: 'lit' },
): readonly [direction: number, contrast: number] {
  if (ask.side === undefined) return [0, lacking((BALANCE_MOST - contrast) / (BALANCE_MOST - 100))];
  return [lacking(1 - off / ANGLE_MOST), lacking(contrast / ask.contrast - 1)];
}

/** How little room there is: the narrowest first, then all together. */
export const tightOf = (lacks: readonly [direction: number, contrast: number, level: number]): number =>
  100 * Math.max(...lacks) + lacks.reduce((sum, lack) => sum + lack, 0);

/** Tenths of room that a level lacks: none in the (geometric) middle of the band, all at its edges. */
export function lackOfBand(level: number, low: number, high: number): number {
  if (level < low || level > high) return LACK_ALL;
  const middle = Math.sqrt(high / Math.max(1, low)) - 1;
  return middle <= 0 ? 0 : lacking((Math.min(level / low, high / level) - 1) / middle);
}

/** Begun hundredths of the band's edge by which a level lies outside it. */
export const levelExcess = (level: number, low: number, high: number): number =>
  level < low ? begun(low - level, low / 100) : begun(level - high, high / 100);

/** Begun lux above what counts as dark. */
export const darkExcess = (level: number): number => begun(level - DARK_MOST, 100);

/** Compares two scores part by part; negative when the first is better. */
export function compareScores(a: ArrayLike<number>, aAt: number, b: ArrayLike<number>, bAt: number): number {
  for (let i = 0; i < LENGTH; i++) {
    const difference = itemAt(a, aAt + i) - itemAt(b, bAt + i);
    if (difference !== 0) return difference;
  }
  return 0;
}

/** Whether a score leaves nothing unmet. */
export const isMet = (score: ArrayLike<number>): boolean => {
  for (let i = 0; i < UNMET; i++) if (itemAt(score, i) > 0) return false;
  return true;
};

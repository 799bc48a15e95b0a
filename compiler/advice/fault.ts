/**
 * What of a treatment lies outside what was asked, and how badly.
 *
 * Always holds: the limits are those the outputs are chosen by.
 */

import { itemAt } from '../../shared/assert.ts';
import { ANGLE_MOST, BALANCE_MOST, DARK_MOST } from '../solve/score.ts';
import type { Treatment } from '../steer/treatment.ts';

export type FaultKind = 'lean' | 'upright' | 'level' | 'dark' | 'unlit' | 'steep';

export interface Fault {
  readonly kind: FaultKind;
  /** Index of the bag that is worst off. */
  readonly bag: number;
  /** How far outside, most important first; compared one by one. */
  readonly by: readonly number[];
}

/** Mean light from lower than this draws growth down; from higher it comes mostly from overhead. Degrees. */
const LOWEST = -30;
const HIGHEST = 60;
/** Below this ratio of vector to scalar the light pulls nowhere in particular. */
const PULLS = 1;

/** Whether the first is the worse of two faults of one kind. */
export function worseFault(a: Fault, b: Fault): boolean {
  for (let i = 0; i < a.by.length; i++) {
    if (a.by[i] !== b.by[i]) return itemAt(a.by, i) > itemAt(b.by, i);
  }
  return false;
}

/** Minutes of a day for which nothing is called a fault: shorter than any block of light. */
const BRIEF = 15;

/** Kinds of fault in the order of wants, the most important first. */
const ORDER: readonly FaultKind[] = ['unlit', 'lean', 'upright', 'level', 'steep', 'dark'];

/** Whether a treatment does worse than another in something more important than a kind of fault. */
export function spoils(after: Treatment, before: Treatment, kind: FaultKind): boolean {
  const known = faultsOf(before);
  return faultsOf(after).some(
    (fault) =>
      ORDER.indexOf(fault.kind) < ORDER.indexOf(kind) &&
      !known.some((old) => old.kind === fault.kind && !worseFault(fault, old)),
  );
}

/** All faults of a treatment. */
export function faultsOf(treatment: Treatment): Fault[] {
  if (treatment.minutes < BRIEF) return [];
  return treatment.ask.kind === 'dark' ? darkFault(treatment) : litFaults(treatment);
}

function darkFault({ figures }: Treatment): Fault[] {
  const above = figures.level.high * 100 - DARK_MOST;
  // The sum over bags' points was rounded when it was scored: half a hundredth is no fault.
  return above > 0.5 ? [{ kind: 'dark', bag: figures.brightestBag, by: [above] }] : [];
}

function litFaults({ figures, ask, minutes }: Treatment): Fault[] {
  if (ask.kind === 'dark') return [];
  const faults: Fault[] = [];
  const [missed] = figures.missed;
  const unlit = minutes - figures.litMinutes;
  if (missed !== undefined || unlit > 0) {
    faults.push({ kind: 'unlit', bag: missed ?? figures.dimmestBag, by: [figures.missed.length, unlit] });
  }
  // What no bag gets has no side and no level; where some are reached, theirs are told.
  if (figures.missed.length === figures.bags.length) return faults;
  if (ask.side !== undefined) {
    const off = Math.max(0, (figures.direction ?? 180) - ANGLE_MOST / 100);
    const missing = Math.max(0, ask.contrast / 100 - (figures.contrast ?? 0));
    const bag = off > 0 ? figures.directionBag : figures.contrastBag;
    if (off > 0 || missing > 0) faults.push({ kind: 'lean', bag, by: [off, missing] });
  } else if (figures.imbalance > BALANCE_MOST / 100) {
    faults.push({ kind: 'upright', bag: figures.imbalanceBag, by: [figures.imbalance] });
  }
  // What bends must reach the band; what there is in all, by the eye, must not pass it.
  const [low, high] = [figures.level.low * 100, figures.brightestByEye * 100];
  if (low < ask.low - 0.5) faults.push({ kind: 'level', bag: figures.dimmestBag, by: [ask.low - low] });
  else if (high > ask.high + 0.5)
    faults.push({ kind: 'level', bag: figures.brightestBag, by: [high - ask.high] });
  const steep = Math.max(LOWEST - figures.elevation, figures.elevation - HIGHEST);
  if (steep > 0 && figures.vectorScalar >= PULLS) faults.push({ kind: 'steep', bag: 0, by: [steep] });
  return faults;
}

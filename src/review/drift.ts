/**
 * How a controller's clock drifts, from the readings at each connection.
 *
 * Always holds: a pair of readings counts only if nothing set the clock between
 * them, both were of a trusted clock, and they lie at least a day apart.
 */

import { aheadSeconds, type Connection } from '../archive/connections.ts';

export interface Drift {
  /** Seconds a week by which the clock gains (negative: loses), over all pairs. */
  readonly secondsPerWeek: number;
  /** Most seconds it was ever off at a connection, before it was set. */
  readonly mostSeconds: number;
  readonly readings: number;
}

const DAY_MS = 86_400_000;
const WEEK_MS = 7 * DAY_MS;

/** The drift over readings in order of time; undefined when there are too few to tell. */
export function driftOf(readings: readonly Connection[]): Drift | undefined {
  const sound = readings.filter((one) => one.known && !one.estimated);
  let gained = 0;
  let time = 0;
  for (let i = 1; i < sound.length; i++) {
    const [before, now] = [sound[i - 1]!, sound[i]!];
    const apart = now.hostMs - before.hostMs;
    if (apart < DAY_MS) continue;
    // After a setting the clock is right to a few hundredths of a second.
    gained += aheadSeconds(now) - (before.setAfter ? 0 : aheadSeconds(before));
    time += apart;
  }
  if (time === 0) return undefined;
  const mostSeconds = Math.max(...sound.map((one) => Math.abs(aheadSeconds(one))));
  return { secondsPerWeek: (gained / time) * WEEK_MS, mostSeconds, readings: sound.length };
}

/**
 * How a controller's clock drifts, from the readings at each connection.
 *
 * Always holds: a pair of readings counts only if nothing set the clock between
 * them, both were of a trusted clock, and they lie at least a day apart.
 */

import { sure } from '../../../shared/assert.ts';
import { unixMsFromUtc } from '../../../shared/civil.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { aheadSeconds, type Connection } from './connection.ts';

export interface Drift {
  /** Seconds a week by which the clock gains (negative: loses), over all pairs. */
  readonly secondsPerWeek: number;
  /** Most seconds it was ever off at a connection, before it was set. */
  readonly mostSeconds: number;
  readonly readings: number;
}

const DAY_MS = 86_400_000;
const WEEK_MS = 7 * DAY_MS;
/** Reading the log lies between a reading of the clock and the setting that goes with it. */
const OWN_SETTING_MS = 120_000;

/**
 * The drift over readings in order of time; undefined when there are too few to
 * tell. `settings` are the UTC seconds at which anything set the clock.
 */
export function clockDrift(readings: readonly Connection[], settings: readonly number[]): Drift | undefined {
  const sound = readings.filter((one) => one.known && !one.estimated);
  let gained = 0;
  let time = 0;
  let before = sound[0];
  for (const now of sound.slice(1)) {
    const apart = now.hostMs - sure(before).hostMs;
    const disturbed = setBetween(sure(before), now, settings);
    // Somebody who reads every hour is told too: the earlier reading waits for one a day later.
    if (!disturbed && apart < DAY_MS && !now.setAfter) continue;
    if (!disturbed && apart >= DAY_MS) {
      // After a setting the clock is right to a few hundredths of a second.
      gained += aheadSeconds(now) - (sure(before).setAfter ? 0 : aheadSeconds(sure(before)));
      time += apart;
    }
    before = now;
  }
  if (time === 0) return undefined;
  const mostSeconds = Math.max(...sound.map((one) => Math.abs(aheadSeconds(one))));
  return { secondsPerWeek: (gained / time) * WEEK_MS, mostSeconds, readings: sound.length };
}

/** The clock was set between two readings, other than right after the first as its reading says. */
function setBetween(before: Connection, now: Connection, settings: readonly number[]): boolean {
  const from = before.hostMs + (before.setAfter ? OWN_SETTING_MS : 0);
  return settings.some((at) => {
    const ms = unixMsFromUtc(utcSeconds(Math.round(at)));
    return ms > from && ms < now.hostMs;
  });
}

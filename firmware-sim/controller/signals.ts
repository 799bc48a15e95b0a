/**
 * Indicator and buzzer as a function of state, second and quarter of a second
 * (behaviour.md, section 7, "Pulse").
 *
 * Always holds: nothing is remembered between quarters.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { FAULT } from '../../shared/log.ts';
import { minuteOfDayAt } from '../schedule.ts';
import { isPresent } from './faults.ts';
import type { SimulatedController } from './state.ts';
import { inHours } from './visit-days.ts';
import { askedSince, askingVisits } from './visits.ts';

/** More zones than this on one controller share one plain pulse. */
const NUMBERED_ZONES = 4;
const PAUSE_QUARTERS = 4;
const END_QUARTERS = 8;
const PLAIN: readonly boolean[] = [true, true, true, true, false, false, false, false];

export interface Signals {
  readonly indicator: boolean;
  readonly buzzer: boolean;
}

/** What indicator and buzzer show in quarter `quarter` (0–3) of second `t`. */
export function signalsAt(controller: SimulatedController, t: number, quarter: number): Signals {
  const { state, schedule } = controller;
  if (!state.known) return { indicator: quarter < 2, buzzer: false };
  if (!schedule) return { indicator: true, buzzer: false };
  return visitPulse(controller, t, quarter) ?? roomPulse(controller, t, quarter);
}

function visitPulse(controller: SimulatedController, t: number, quarter: number): Signals | undefined {
  const schedule = sure(controller.schedule);
  const { pulse, visits } = schedule.table;
  if (!pulse || !visits || !inHours(schedule, minuteOfDayAt(schedule, t))) return undefined;
  const asking = askingVisits(controller, t);
  if (asking.length === 0) return undefined;
  const zones = asking.reduce((mask, { zones: one }) => mask | one, 0);
  const pattern = visits.zoneCount > NUMBERED_ZONES ? PLAIN : blinks(zones);
  const minute = minuteOfDayAt(schedule, t);
  const sounding = minute % 15 === 0 || asking.some(({ visit }) => t - askedSince(controller, visit, t) < 60);
  const place = 4 * (t % 60) + quarter;
  return {
    indicator: pulse.light && itemAt(pattern, (4 * t + quarter) % pattern.length),
    buzzer: pulse.sound && sounding && (pattern[place] ?? false),
  };
}

/** Zone 1 blinks once, zone 2 twice, and so on; one quarter of a second a place. */
function blinks(zones: number): boolean[] {
  const pattern: boolean[] = [];
  for (let zone = 0; zone < NUMBERED_ZONES; zone++) {
    if ((zones & (1 << zone)) === 0) continue;
    for (let blink = 0; blink <= zone; blink++) pattern.push(true, false);
    for (let pause = 0; pause < PAUSE_QUARTERS; pause++) pattern.push(false);
  }
  for (let pause = 0; pause < END_QUARTERS; pause++) pattern.push(false);
  return pattern;
}

function roomPulse(controller: SimulatedController, t: number, quarter: number): Signals {
  const schedule = sure(controller.schedule);
  const { pulse } = schedule.table;
  if (!pulse || quarter !== 0 || !isPresent(controller, FAULT.roomOutside)) {
    return { indicator: false, buzzer: false };
  }
  const hour = t % 3600 === 0 && inHours(schedule, minuteOfDayAt(schedule, t));
  return { indicator: pulse.light && t % 2 === 0, buzzer: pulse.sound && hour };
}

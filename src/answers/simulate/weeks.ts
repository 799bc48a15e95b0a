/**
 * The whole grow on the simulated controllers beside what the plan asks for:
 * minutes of light of each zone and day.
 *
 * Always holds: what burns is what the controllers show when they run the
 * tables; a day's minutes are those between its midnights.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import { firstInstant } from '../../../compiler/plan/utc-offsets.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { scheduleEvents, type WrittenEvent } from './events.ts';
import { type SimulatedRun, simulateController } from './run.ts';
import { simulatedDays } from './summary.ts';

/** One zone on one civil day, minutes. */
export interface AskedAndLit {
  readonly zone: number;
  readonly day: CivilDay;
  readonly asked: number;
  readonly lit: number;
}

export interface GrownWeeks {
  readonly runs: readonly SimulatedRun[];
  readonly days: readonly AskedAndLit[];
}

/** Light comes on a second or two after it is asked for; less than this is no difference. */
const ALIKE_MINUTES = 2;

/** Whether a zone got other light than it was to get. */
export const differs = ({ asked, lit }: AskedAndLit): boolean => Math.abs(asked - lit) > ALIKE_MINUTES;

/** Runs the grow with events; undefined without a batch or a table. */
export function growWeeks(sound: SoundPlan, events: readonly WrittenEvent[]): GrownWeeks | undefined {
  const { plan, timeline, tables } = sound;
  const whole = planDays(plan);
  if (!whole || tables.length === 0) return undefined;
  const { offsets } = timeline;
  // A table that cannot hold the whole grow begins where it was made for.
  const first = sound.tablesFrom ?? whole.first;
  const [from, until] = [firstInstant(offsets, first, 0), firstInstant(offsets, whole.end, 0)];
  const acts = scheduleEvents(events, from, offsets);
  const runs = tables.map((table) => simulateController(table, { first, from, until }, acts));
  const asked = askedMinutes(sound);
  const days = simulatedDays(sound, runs, from, until).map(({ zone, day, seconds }) => {
    const lit = [...seconds].reduce((sum, [word, count]) => (word === 'dark' ? sum : sum + count), 0) / 60;
    return { zone, day, asked: asked.get(`${zone}/${day}`) ?? 0, lit };
  });
  return { runs, days };
}

/** Minutes asked for by zone and day: a photoperiod that runs past midnight counts for both. */
function askedMinutes({ timeline }: SoundPlan): Map<string, number> {
  const found = new Map<string, number>();
  timeline.demands.forEach(({ demands }, at) => {
    for (const { zone, lit } of demands) {
      for (const { day, span } of timeline.demands.slice(at, at + 2)) {
        const minutes = Math.min(lit[1], span[1]) - Math.max(lit[0], span[0]);
        const key = `${zone}/${day}`;
        if (minutes > 0) found.set(key, (found.get(key) ?? 0) + minutes);
      }
    }
  });
  return found;
}

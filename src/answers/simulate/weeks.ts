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
  /** Of `lit`, what came at other hours than asked and was missing in these. */
  readonly astray: number;
}

export interface GrownWeeks {
  readonly runs: readonly SimulatedRun[];
  readonly days: readonly AskedAndLit[];
}

/** Light comes on a second or two after it is asked for; less than this is no difference. */
const ALIKE_MINUTES = 2;

/** Whether a zone got other light than it was to get. */
export const differs = ({ asked, lit, astray }: Omit<AskedAndLit, 'zone' | 'day'>): boolean =>
  Math.abs(asked - lit) > ALIKE_MINUTES || astray > ALIKE_MINUTES;

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
  const asked = askedSpans(sound);
  const days = simulatedDays(sound, runs, from, until).map(({ zone, day, lit }) => {
    const wanted = asked.get(`${zone}/${day}`) ?? [];
    const minutes = { asked: total(wanted) / 60, lit: total(lit) / 60 };
    const within = total(lit.flatMap((one) => wanted.map((other) => shared(one, other)))) / 60;
    return { zone, day, ...minutes, astray: Math.min(minutes.asked, minutes.lit) - within };
  });
  return { runs, days };
}

type Span = readonly [number, number];

const total = (spans: readonly Span[]): number => spans.reduce((sum, [from, to]) => sum + to - from, 0);

/** What two spans have in common; empty where they do not meet. */
const shared = (a: Span, b: Span): Span => {
  const from = Math.max(a[0], b[0]);
  return [from, Math.max(from, Math.min(a[1], b[1]))];
};

/** When light is asked for, UTC seconds by zone and day: a photoperiod that runs past midnight counts for both. */
function askedSpans({ timeline: { demands: all, offsets } }: SoundPlan): Map<string, Span[]> {
  const found = new Map<string, Span[]>();
  const [first] = all;
  if (!first) return found;
  const begin = firstInstant(offsets, first.day, 0);
  const utc = (elapsed: number): number => begin + (elapsed - first.span[0]) * 60;
  all.forEach(({ demands }, at) => {
    for (const { zone, lit } of demands) {
      for (const { day, span } of all.slice(at, at + 2)) {
        const [from, to] = shared(lit, span);
        const key = `${zone}/${day}`;
        if (to > from) found.set(key, [...(found.get(key) ?? []), [utc(from), utc(to)]]);
      }
    }
  });
  return found;
}

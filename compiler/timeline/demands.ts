/**
 * Resolved plan → what each zone asks for, day by day.
 *
 * Always holds: a zone has at most one demand a day; every zone with bags is
 * either in `demands` or in `dark` on each of its days; no zone is lit for two
 * demands at once: the later day's begins on time, the earlier day's ends there.
 */

import { itemAt } from '../../shared/assert.ts';
import {
  type CivilDay,
  civilDay,
  type Degrees,
  lux,
  type Minutes,
  minutes,
  type UtcSeconds,
  utcSeconds,
} from '../../shared/units.ts';
import { planDays, stageOn, standsOn } from '../plan/on-a-day.ts';
import type { BatchZone, Lean, ResolvedPlan } from '../plan/plan.ts';
import { roomLightOn } from '../plan/room-light.ts';
import { firstInstant, quartersAt, type UtcOffsets, wallClock } from '../plan/utc-offsets.ts';
import type { Beyond, Clock, DayDemands, Demand } from './demand.ts';

/** The side a lean asks for on the day that is `daysIn` days into its stage. */
export function sideOn(lean: Lean, daysIn: number): Degrees | 'upright' {
  if (lean.kind === 'upright') return 'upright';
  if (lean.by === 'turning' && lean.lampSide !== undefined) return lean.lampSide;
  const turn = lean.motion === 'hold' ? 0 : Math.floor(daysIn / lean.every);
  return itemAt(lean.sides, turn % lean.sides.length);
}

interface Stay {
  readonly batch: number;
  readonly stay: BatchZone;
  readonly clock: Clock;
}

/** All days of the plan, in order, each with its demands in zone order. */
export function dayDemands(plan: ResolvedPlan, offsets: UtcOffsets): DayDemands[] {
  const days = planDays(plan);
  if (!days) return [];
  const stays = plan.batches.flatMap((batch, index) =>
    batch.zones.map((stay): Stay => ({ batch: index, stay, clock: clockOf(plan, offsets, batch.sealed) })),
  );
  stays.sort((a, b) => a.stay.zone - b.stay.zone || a.stay.enters - b.stay.enters);
  const time = new EvenTime(offsets, days.first);
  const result: DayDemands[] = [];
  for (let day = days.first; day < days.end; day = civilDay(day + 1)) {
    const present = stays.filter(({ stay }) => standsOn(stay, day));
    result.push({ ...dayOf(plan, day, time), ...demandsOn(day, present, time) });
  }
  return yieldToLater(result);
}

/** Civil times as even minutes, counted from the midnight of `first` as `first` × 1440. */
class EvenTime {
  readonly offsets: UtcOffsets;
  private readonly ahead: number;

  constructor(offsets: UtcOffsets, first: CivilDay) {
    this.offsets = offsets;
    this.ahead = first * 1440 - firstInstant(offsets, first, 0) / 60;
  }

  /** The minute at which `clock` first reads `minute` of `day`. */
  of(clock: Clock, day: number, minute: number): number {
    if (clock === 'civil') return this.even(firstInstant(this.offsets, day, minute));
    return day * 1440 + minute - 15 * clock.offsetQuarters + this.ahead;
  }

  even(instant: UtcSeconds): number {
    return instant / 60 + this.ahead;
  }

  /** What the wall clock reads at an even minute, and when it first read that. */
  readingAt(even: number): Beyond {
    const { day, minute } = wallClock(this.offsets, utcSeconds((even - this.ahead) * 60));
    return { day: civilDay(day), minute: minutes(minute), at: this.of('civil', day, minute) };
  }
}

function dayOf(
  plan: ResolvedPlan,
  day: CivilDay,
  time: EvenTime,
): Pick<DayDemands, 'day' | 'span' | 'background'> {
  const at = (minute: number): number => time.of('civil', day, minute);
  const background = roomLightOn(plan, time.offsets, day).map(
    ({ entry, from, until }) => [entry, time.even(from), time.even(until)] as const,
  );
  return { day, span: [at(0), at(1440)], background };
}

/** Of two photoperiods of a zone that meet, the later day's begins on time; the earlier day's ends there for good. */
function yieldToLater(days: readonly DayDemands[]): DayDemands[] {
  const next = new Map<number, number>();
  const yielded = [...days].reverse().map((day) => ({
    ...day,
    demands: day.demands.map((demand) => {
      const [from, end] = demand.lit;
      const begins = next.get(demand.zone) ?? Number.POSITIVE_INFINITY;
      next.set(demand.zone, Math.min(begins, from));
      if (begins >= end) return demand;
      const to = Math.max(from, begins);
      return { ...demand, lit: [from, to] as const, yields: end - to };
    }),
  }));
  return yielded.reverse();
}

function clockOf(plan: ResolvedPlan, offsets: UtcOffsets, sealed: CivilDay): Clock {
  if (plan.clock === 'civil') return 'civil';
  return { offsetQuarters: quartersAt(offsets, firstInstant(offsets, sealed, 0)) };
}

function demandsOn(
  day: CivilDay,
  present: readonly Stay[],
  time: EvenTime,
): Pick<DayDemands, 'demands' | 'dark'> {
  const demands: Demand[] = [];
  const dark: (readonly [number, number])[] = [];
  for (const { batch, stay, clock } of present) {
    const stage = stageOn(stay, day);
    if (!stage?.light) {
      dark.push([stay.zone, batch]);
      continue;
    }
    const lit = litTime(day, stage.light, clock, time);
    const [from, to] = lit;
    demands.push({
      zone: stay.zone,
      batch,
      start: stage.light.start,
      length: stage.light.photoperiod,
      clock,
      lit,
      yields: 0,
      ...(to - from > 1440 ? { beyond: time.readingAt(from + 1440) } : {}),
      side: sideOn(stage.lean, day - stage.from),
      level: stage.level ?? [lux(0), lux(Number.POSITIVE_INFINITY)],
    });
  }
  return { demands, dark };
}

/** A photoperiod lasts its length in elapsed time; one of 24 h until its own start of the next day. */
function litTime(
  day: CivilDay,
  { start, photoperiod }: { readonly start: Minutes; readonly photoperiod: Minutes },
  clock: Clock,
  time: EvenTime,
): readonly [number, number] {
  const from = time.of(clock, day, start);
  return [from, photoperiod === 1440 ? time.of(clock, day + 1, start) : from + photoperiod];
}

/**
 * Resolved plan → what each zone asks for, day by day.
 *
 * Always holds: a zone has at most one demand a day; every zone with bags is
 * either in `demands` or in `dark` on each of its days.
 */

import { type CivilDay, civilDay, type Degrees, lux, type Minutes } from '../../shared/units.ts';
import { planDays, stageOn, standsOn } from '../plan/on-a-day.ts';
import type { BatchZone, Lean, ResolvedPlan } from '../plan/plan.ts';
import { firstInstant, quartersAt, type ZoneOffsets } from '../plan/utc-offsets.ts';
import type { Clock, DayDemands, Demand } from './demand.ts';

/** The side a lean asks for on the day that is `daysIn` days into its stage. */
export function sideOn(lean: Lean, daysIn: number): Degrees | 'upright' {
  if (lean.kind === 'upright') return 'upright';
  if (lean.by === 'turning' && lean.lampSide !== undefined) return lean.lampSide;
  const turn = lean.motion === 'hold' ? 0 : Math.floor(daysIn / lean.every);
  return lean.sides[turn % lean.sides.length] ?? 'upright';
}

interface Stay {
  readonly batch: number;
  readonly stay: BatchZone;
  readonly clock: Clock;
}

/** All days of the plan, in order, each with its demands in zone order. */
export function dayDemands(plan: ResolvedPlan, offsets: ZoneOffsets): DayDemands[] {
  const days = planDays(plan);
  if (!days) return [];
  const stays = plan.batches.flatMap((batch, index) =>
    batch.zones.map((stay): Stay => ({ batch: index, stay, clock: clockOf(plan, offsets, batch.sealed) })),
  );
  stays.sort((a, b) => a.stay.zone - b.stay.zone || a.stay.enters - b.stay.enters);
  const result: DayDemands[] = [];
  for (let day = days.first; day < days.end; day = civilDay(day + 1)) {
    const present = stays.filter(({ stay }) => standsOn(stay, day));
    result.push(demandsOn(day, present, offsets));
  }
  return result;
}

function clockOf(plan: ResolvedPlan, offsets: ZoneOffsets, sealed: CivilDay): Clock {
  if (plan.clock === 'civil') return 'civil';
  return { offsetQuarters: quartersAt(offsets, firstInstant(offsets, sealed, 0)) };
}

function demandsOn(day: CivilDay, present: readonly Stay[], offsets: ZoneOffsets): DayDemands {
  const demands: Demand[] = [];
  const dark: (readonly [number, number])[] = [];
  for (const { batch, stay, clock } of present) {
    const stage = stageOn(stay, day);
    if (!stage?.light) {
      dark.push([stay.zone, batch]);
      continue;
    }
    demands.push({
      zone: stay.zone,
      batch,
      start: stage.light.start,
      length: stage.light.photoperiod,
      clock,
      wallStart: wallStart(day, stage.light.start, clock, offsets),
      side: sideOn(stage.lean, day - stage.from),
      level: stage.level ?? [lux(0), lux(Number.POSITIVE_INFINITY)],
    });
  }
  return { day, demands, dark };
}

/** A start on a steady clock, as minutes after midnight of the wall clock's same day. */
function wallStart(day: CivilDay, start: Minutes, clock: Clock, offsets: ZoneOffsets): number {
  if (clock === 'civil') return start;
  const instant = day * 86_400 + start * 60 - clock.offsetQuarters * 900;
  const quarters = quartersAt(offsets, instant as Parameters<typeof quartersAt>[1]);
  return start + (quarters - clock.offsetQuarters) * 15;
}

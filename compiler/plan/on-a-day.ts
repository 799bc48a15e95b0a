/**
 * What is where on a day: which batch's bags stand in a zone, in which stage.
 *
 * Always holds: bags stand in a zone from the day they enter up to and not
 * including the day it is free; at most one batch stands in a zone on a day.
 * These questions are answered here and nowhere else.
 */

import { itemAt } from '../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../shared/units.ts';
import type { BatchZone, ResolvedPlan, ResolvedStage } from './plan.ts';

/** The first and the day after the last civil day on which any zone has bags; undefined without batches. */
export function planDays({
  batches,
}: Pick<ResolvedPlan, 'batches'>): { first: CivilDay; end: CivilDay } | undefined {
  const stays = batches.flatMap((batch) => batch.zones);
  if (stays.length === 0) return undefined;
  return {
    first: civilDay(Math.min(...stays.map((stay) => stay.enters))),
    end: civilDay(Math.max(...stays.map((stay) => stay.free))),
  };
}

/** Whether the bags of a stay stand in their zone on a day. */
export const standsOn = ({ enters, free }: Pick<BatchZone, 'enters' | 'free'>, day: number): boolean =>
  enters <= day && day < free;

/** The index of the batch whose bags stand in a zone on a day. */
export function batchOn(
  { batches }: Pick<ResolvedPlan, 'batches'>,
  zone: number,
  day: number,
): number | undefined {
  const index = batches.findIndex(({ zones }) =>
    zones.some((stay) => stay.zone === zone && standsOn(stay, day)),
  );
  return index < 0 ? undefined : index;
}

/** The stay of a batch (index) in a zone (index); undefined when it never stands there. */
export function stayIn(
  { batches }: Pick<ResolvedPlan, 'batches'>,
  batch: number,
  zone: number,
): BatchZone | undefined {
  return batches[batch]?.zones.find((stay) => stay.zone === zone);
}

/** Whether a day is one of a stage's. */
export const isInStage = ({ from, days }: Pick<ResolvedStage, 'from' | 'days'>, day: number): boolean =>
  from <= day && day < from + days;

/** The stage of a stay on a civil day; undefined before, after and in between. */
export function stageOn(stay: Pick<BatchZone, 'stages'> | undefined, day: number): ResolvedStage | undefined {
  return stay?.stages.find((stage) => isInStage(stage, day));
}

/**
 * The stage in which a stay ripens: the one of that name, else the last lit one of several; undefined where
 * there is none to tell.
 */
export function ripeningOf({ stages }: Pick<BatchZone, 'stages'>): ResolvedStage | undefined {
  const lit = stages.filter(({ light, name }) => light !== undefined && name !== 'keep');
  return stages.find(({ name }) => name === 'ripen') ?? (lit.length > 1 ? lit.at(-1) : undefined);
}

/** For each zone the index of the kind of bag that stands there on a day, or -1. */
export function bagsOn(plan: Pick<ResolvedPlan, 'zones' | 'batches'>, day: number): number[] {
  return plan.zones.map((_, zone) => {
    const batch = batchOn(plan, zone, day);
    return batch === undefined ? -1 : itemAt(plan.batches, batch).bag;
  });
}

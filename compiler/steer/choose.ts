/**
 * Which outputs burn when, so that every zone is drawn where the plan says.
 *
 * Always holds: equal questions are answered once and equally; the same plan and days
 * give the same blocks everywhere.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LightField } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { DayDemands } from '../timeline/demand.ts';
import type { DayBlocks } from './block.ts';
import { type Burn, toBlocks } from './blocks.ts';
import { type Cluster, cellsOf, findClusters, type LaidOut, layOut } from './cells.ts';
import { keepsLimit, type Limit, loadLimits } from './load.ts';
import { Steerer } from './steerer.ts';
import { type Course, type Treatment, Treatments } from './treatment.ts';

/** The blocks of all days, and what they do to every zone. */
export interface Steered {
  readonly days: readonly DayBlocks[];
  readonly treatments: readonly Treatment[];
  readonly courses: readonly Course[];
}

/** The blocks of one day taken by itself. */
export function chooseDay(plan: ResolvedPlan, field: LightField, day: DayDemands): DayBlocks {
  return itemAt(steerDays(plan, field, [day]).days, 0);
}

/** Chooses the outputs for all days, which must be in order. */
export function steerDays(plan: ResolvedPlan, field: LightField, days: readonly DayDemands[]): Steered {
  const timeline = layOut(plan, days);
  const clusters = findClusters(plan, field, timeline.distinct);
  const free = steerClusters(plan, field, days, timeline, clusters, []);
  const broken = loadLimits(plan, field).filter((limit) => !keepsLimit(field, limit, free.days));
  if (broken.length === 0) return free;
  // A limit ties all its outputs: everything is settled together.
  return steerClusters(plan, field, days, timeline, [joined(clusters)], broken);
}

function steerClusters(
  plan: ResolvedPlan,
  field: LightField,
  days: readonly DayDemands[],
  timeline: LaidOut,
  clusters: readonly Cluster[],
  limits: readonly Limit[],
): Steered {
  const treatments = new Treatments(plan);
  const steerer = new Steerer(plan, field, limits, treatments);
  const burns: Burn[] = [];
  for (const cluster of clusters) {
    for (const burn of steerer.burnsOf(cluster, cellsOf(plan, field, timeline, cluster))) burns.push(burn);
  }
  return {
    days: toBlocks(days, burns),
    treatments: treatments.list(),
    courses: treatments.courses(),
  };
}

function joined(clusters: readonly Cluster[]): Cluster {
  const ascending = (a: number, b: number): number => a - b;
  return {
    zones: clusters.flatMap(({ zones }) => zones).sort(ascending),
    outputs: clusters.flatMap(({ outputs }) => outputs).sort(ascending),
  };
}

/**
 * The grow cut into cells in which no zone's demand changes, cluster by cluster.
 *
 * Always holds: time is minutes of the wall clock counted on from day 0's midnight,
 * so a photoperiod that crosses midnight is one stretch; cells of a cluster are in
 * order and do not overlap; stretches in which no zone of the cluster is lit and no
 * background is on are no cells; zones are in one cluster when some output reaches both.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { weekday } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import type { LightField } from '../light/field.ts';
import type { Occupancy } from '../light/trace.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { tiedOutputs } from '../solve/patterns.ts';
import type { DayDemands, Demand } from '../timeline/demand.ts';

const DAY = 1440;

/** A demand in absolute wall minutes. */
export interface Lit {
  readonly day: CivilDay;
  readonly from: number;
  readonly to: number;
  readonly demand: Demand;
}

export interface Cluster {
  /** Zones, ascending. */
  readonly zones: readonly number[];
  /** Indices into the field's outputs, ascending. */
  readonly outputs: readonly number[];
}

export interface Cell {
  readonly from: number;
  readonly to: number;
  readonly occupancy: Occupancy;
  /** For each zone of the cluster: its demand while lit, `dark` with bags in the dark, undefined when empty. */
  readonly zones: readonly (Lit | 'dark' | undefined)[];
  /** Background entries that are on. */
  readonly background: readonly number[];
}

/** What the days ask for, laid out in time. */
export interface Timeline {
  readonly lit: ReadonlyMap<number, readonly Lit[]>;
  /** By day, which bag stands in which zone. */
  readonly occupancy: ReadonlyMap<number, Occupancy>;
  readonly distinct: readonly Occupancy[];
}

/** Lays the days out in time. */
export function layOut(plan: ResolvedPlan, days: readonly DayDemands[]): Timeline {
  const lit = new Map<number, Lit[]>();
  const occupancy = new Map<number, Occupancy>();
  const distinct = new Map<string, Occupancy>();
  for (const { day, demands, dark } of days) {
    const bags = plan.zones.map(() => -1);
    for (const [zone, batch] of dark) bags[zone] = itemAt(plan.batches, batch).bag;
    for (const demand of demands) {
      bags[demand.zone] = itemAt(plan.batches, demand.batch).bag;
      const from = day * DAY + demand.wallStart;
      const stretch = { day, from, to: from + demand.length, demand };
      const known = lit.get(demand.zone);
      if (known === undefined) lit.set(demand.zone, [stretch]);
      else known.push(stretch);
    }
    const key = bags.join(' ');
    const same = distinct.get(key) ?? bags;
    distinct.set(key, same);
    occupancy.set(day, same);
  }
  for (const stretches of lit.values()) stretches.sort((a, b) => a.from - b.from);
  return { lit, occupancy, distinct: [...distinct.values()] };
}

/** Zones and outputs that must be settled together. */
export function findClusters(
  plan: ResolvedPlan,
  field: LightField,
  occupancies: readonly Occupancy[],
): Cluster[] {
  const parent = [...plan.zones, ...field.outputs].map((_, index) => index);
  const root = (node: number): number => {
    let at = node;
    while (parent[at] !== at) at = itemAt(parent, at);
    parent[node] = at;
    return at;
  };
  const tied = new Set<number>();
  for (const occupancy of occupancies) {
    plan.zones.forEach((_, zone) => {
      const reached = field.zone(occupancy, zone);
      if (reached === undefined) return;
      for (const output of tiedOutputs(reached)) {
        tied.add(output);
        const [a, b] = [root(zone), root(plan.zones.length + output)];
        parent[Math.max(a, b)] = Math.min(a, b);
      }
    });
  }
  const clusters = new Map<number, { zones: number[]; outputs: number[] }>();
  plan.zones.forEach((_, zone) => {
    const at = root(zone);
    const cluster = clusters.get(at) ?? { zones: [], outputs: [] };
    cluster.zones.push(zone);
    clusters.set(at, cluster);
  });
  for (const output of [...tied].sort((a, b) => a - b)) {
    sure(clusters.get(root(plan.zones.length + output))).outputs.push(output);
  }
  return [...clusters.values()];
}

/** The cells of a cluster, in order. */
export function cellsOf(plan: ResolvedPlan, field: LightField, timeline: Timeline, cluster: Cluster): Cell[] {
  const stretches = cluster.zones.map((zone) => timeline.lit.get(zone) ?? []);
  if (stretches.every((of) => of.length === 0) && plan.background.length === 0) return [];
  const cuts = cutsOf(plan, field, timeline, cluster, stretches);
  const next = cluster.zones.map(() => 0);
  const cells: Cell[] = [];
  for (let i = 1; i < cuts.length; i++) {
    const [from, to] = [itemAt(cuts, i - 1), itemAt(cuts, i)];
    const now = cluster.zones.map((_, n) => litAt(itemAt(stretches, n), next, n, from));
    if (now.every((lit) => lit === undefined) && backgroundAt(plan, from).length === 0) continue;
    const occupancy = occupancyAt(plan, timeline, from, now);
    const zones = cluster.zones.map(
      (zone, n) => now[n] ?? (itemAt(occupancy, zone) < 0 ? undefined : ('dark' as const)),
    );
    cells.push({ from, to, occupancy, zones, background: backgroundAt(plan, from) });
  }
  return cells;
}

/** The stretch of light a zone is in at a time; `next[n]` moves on as time does. */
function litAt(stretches: readonly Lit[], next: number[], n: number, time: number): Lit | undefined {
  while (itemAt(next, n) < stretches.length && itemAt(stretches, itemAt(next, n)).to <= time)
    next[n] = itemAt(next, n) + 1;
  const found = stretches[itemAt(next, n)];
  return found !== undefined && found.from <= time ? found : undefined;
}

/** Every time at which something may change for the cluster, ascending. */
function cutsOf(
  plan: ResolvedPlan,
  field: LightField,
  timeline: Timeline,
  cluster: Cluster,
  stretches: readonly (readonly Lit[])[],
): number[] {
  const cuts = new Set<number>();
  for (const { from, to } of stretches.flat()) {
    cuts.add(from);
    cuts.add(to);
  }
  const around = [...new Set(cluster.zones.flatMap((zone) => field.neighbours(zone)))];
  let before: Occupancy | undefined;
  for (const [day, occupancy] of timeline.occupancy) {
    if (before !== occupancy && around.some((zone) => before?.[zone] !== occupancy[zone]))
      cuts.add(day * DAY);
    before = occupancy;
    for (const { hours } of plan.background) {
      cuts.add(day * DAY + hours[0]);
      cuts.add(day * DAY + hours[1]);
    }
  }
  return [...cuts].sort((a, b) => a - b);
}

/** Which bag stands where; a zone still lit from the day before keeps its bags. */
function occupancyAt(
  plan: ResolvedPlan,
  timeline: Timeline,
  time: number,
  lit: readonly (Lit | undefined)[],
): Occupancy {
  const day = Math.floor(time / DAY);
  const listed = timeline.occupancy.get(day) ?? plan.zones.map(() => -1);
  const missing = lit.filter((now) => now !== undefined && itemAt(listed, now.demand.zone) < 0);
  if (missing.length === 0) return listed;
  const kept = [...listed];
  for (const now of missing) if (now) kept[now.demand.zone] = itemAt(plan.batches, now.demand.batch).bag;
  return kept;
}

const nothing: readonly number[] = [];

function backgroundAt(plan: ResolvedPlan, time: number): readonly number[] {
  if (plan.background.length === 0) return nothing;
  const day = Math.floor(time / DAY);
  const minute = time - day * DAY;
  return plan.background.flatMap(({ hours, on }, index) =>
    on.includes(weekday(day as CivilDay)) && hours[0] <= minute && minute < hours[1] ? [index] : [],
  );
}

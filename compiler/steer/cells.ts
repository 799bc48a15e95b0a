/**
 * The grow cut into cells in which no zone's demand changes, cluster by cluster.
 *
 * Always holds: time is even minutes (`demand.ts`), so a photoperiod that crosses
 * midnight is one stretch and lengths are elapsed; cells of a cluster are in
 * order and do not overlap; stretches in which no zone of the cluster is lit and no
 * background is on are no cells; zones are in one cluster when some output reaches both.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { CivilDay } from '../../shared/units.ts';
import type { LightField } from '../light/field.ts';
import type { Occupancy } from '../light/trace.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { tiedOutputs } from '../solve/patterns.ts';
import type { DayDemands, Demand } from '../timeline/demand.ts';

/** A demand in even minutes. */
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
  /** The civil day it begins on. */
  readonly day: CivilDay;
  readonly occupancy: Occupancy;
  /** For each zone of the cluster: its demand while lit, `dark` with bags in the dark, undefined when empty. */
  readonly zones: readonly (Lit | 'dark' | undefined)[];
  /** Background entries that are on. */
  readonly background: readonly number[];
}

/** What the days ask for, laid out in time. */
export interface LaidOut {
  readonly lit: ReadonlyMap<number, readonly Lit[]>;
  /** In order of time. */
  readonly days: readonly LaidDay[];
  readonly distinct: readonly Occupancy[];
}

/** A day of the timeline. */
interface LaidDay extends Pick<DayDemands, 'day' | 'span' | 'background'> {
  /** Which bag stands in which zone. */
  readonly occupancy: Occupancy;
}

/** Lays the days out in time. */
export function layOut(plan: ResolvedPlan, days: readonly DayDemands[]): LaidOut {
  const lit = new Map<number, Lit[]>();
  const laid: LaidDay[] = [];
  const distinct = new Map<string, Occupancy>();
  for (const { day, span, background, demands, dark } of days) {
    const bags = plan.zones.map(() => -1);
    for (const [zone, batch] of dark) bags[zone] = itemAt(plan.batches, batch).bag;
    for (const demand of demands) {
      bags[demand.zone] = itemAt(plan.batches, demand.batch).bag;
      const [from, to] = demand.lit;
      if (from === to) continue;
      const stretch = { day, from, to, demand };
      const known = lit.get(demand.zone);
      if (known === undefined) lit.set(demand.zone, [stretch]);
      else known.push(stretch);
    }
    const key = bags.join(' ');
    const same = distinct.get(key) ?? bags;
    distinct.set(key, same);
    laid.push({ day, span, background, occupancy: same });
  }
  for (const stretches of lit.values()) stretches.sort((a, b) => a.from - b.from);
  return { lit, days: laid, distinct: [...distinct.values()] };
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
export function cellsOf(plan: ResolvedPlan, field: LightField, timeline: LaidOut, cluster: Cluster): Cell[] {
  const stretches = cluster.zones.map((zone) => timeline.lit.get(zone) ?? []);
  if (stretches.every((of) => of.length === 0) && plan.background.length === 0) return [];
  const cuts = cutsOf(field, timeline, cluster, stretches);
  const next = cluster.zones.map(() => 0);
  let n = 0;
  const cells: Cell[] = [];
  for (let i = 1; i < cuts.length; i++) {
    const [from, to] = [itemAt(cuts, i - 1), itemAt(cuts, i)];
    const now = cluster.zones.map((_, n) => litAt(itemAt(stretches, n), next, n, from));
    while (n + 1 < timeline.days.length && itemAt(timeline.days, n + 1).span[0] <= from) n++;
    const today = itemAt(timeline.days, n);
    const background = backgroundAt(today, from);
    if (now.every((lit) => lit === undefined) && background.length === 0) continue;
    const occupancy = occupancyAt(plan, today, from, now);
    const zones = cluster.zones.map(
      (zone, n) => now[n] ?? (itemAt(occupancy, zone) < 0 ? undefined : ('dark' as const)),
    );
    cells.push({ from, to, day: today.day, occupancy, zones, background });
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
  field: LightField,
  timeline: LaidOut,
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
  for (const { span, occupancy, background } of timeline.days) {
    if (before !== occupancy && around.some((zone) => before?.[zone] !== occupancy[zone])) cuts.add(span[0]);
    before = occupancy;
    for (const [, from, to] of background) {
      cuts.add(from);
      cuts.add(to);
    }
  }
  return [...cuts].sort((a, b) => a - b);
}

/** Which bag stands where; a zone still lit from the day before keeps its bags. */
function occupancyAt(
  plan: ResolvedPlan,
  { span, occupancy }: LaidDay,
  time: number,
  lit: readonly (Lit | undefined)[],
): Occupancy {
  const listed = span[0] <= time && time < span[1] ? occupancy : plan.zones.map(() => -1);
  const missing = lit.filter((now) => now !== undefined && itemAt(listed, now.demand.zone) < 0);
  if (missing.length === 0) return listed;
  const kept = [...listed];
  for (const now of missing) if (now) kept[now.demand.zone] = itemAt(plan.batches, now.demand.batch).bag;
  return kept;
}

const nothing: readonly number[] = [];

function backgroundAt({ background }: LaidDay, time: number): readonly number[] {
  if (background.length === 0) return nothing;
  return background.flatMap(([entry, from, to]) => (from <= time && time < to ? [entry] : []));
}

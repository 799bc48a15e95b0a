/**
 * Which outputs burn when, so that every zone is drawn where the plan says.
 *
 * Always holds: equal questions are answered once and equally; the same plan and days
 * give the same blocks everywhere.
 */

import type { LightField, Occupancy, ZoneField } from '../light/field.ts';
import { azimuthNormal, faceColumn } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/resolved.ts';
import { type Burn, toBlocks } from './blocks.ts';
import { type Cell, type Cluster, cellsOf, findClusters, type Lit, layOut } from './cells.ts';
import type { DayBlocks, DayDemands } from './demand.ts';
import type { AskedZone, Problem } from './problem.ts';
import { type Ask, contrastWanted } from './score.ts';
import { type Answer, solveCell } from './solve.ts';
import { levelOf, type PatternTable, patternTable, radixOf } from './table.ts';

/** The blocks of all days. */
export interface Steered {
  readonly days: readonly DayBlocks[];
  readonly shortfalls: readonly never[];
}

/** The blocks of one day taken by itself. */
export function chooseDay(plan: ResolvedPlan, field: LightField, day: DayDemands): DayBlocks {
  return steerDays(plan, field, [day]).days[0]!;
}

/** Chooses the outputs for all days, which must be in order. */
export function steerDays(plan: ResolvedPlan, field: LightField, days: readonly DayDemands[]): Steered {
  const timeline = layOut(plan, days);
  const steerer = new Steerer(plan, field);
  const burns = findClusters(plan, field, timeline.distinct).flatMap((cluster) =>
    steerer.burnsOf(cluster, cellsOf(plan, field, timeline, cluster)),
  );
  return { days: toBlocks(days, burns), shortfalls: [] };
}

/** Holds what has been worked out, so that it is worked out once. */
class Steerer {
  private readonly plan: ResolvedPlan;
  private readonly field: LightField;
  private readonly tables = new Map<string, PatternTable>();
  private readonly answers = new Map<string, Answer>();
  private readonly zoneFields = new Map<Occupancy, (ZoneField | undefined)[]>();
  private readonly ids = new Map<ZoneField, number>();

  constructor(plan: ResolvedPlan, field: LightField) {
    this.plan = plan;
    this.field = field;
  }

  burnsOf(cluster: Cluster, cells: readonly Cell[]): Burn[] {
    const burns: Burn[][] = cluster.outputs.map(() => []);
    let before: readonly number[] = cluster.outputs.map(() => 0);
    let end = Number.NEGATIVE_INFINITY;
    for (const cell of cells) {
      if (cell.from > end) before = cluster.outputs.map(() => 0);
      const answer = this.answer(cluster, cell, before);
      let from = cell.from;
      for (const part of answer.parts) {
        this.addBurns(burns, cluster, cell, part.digits, from, from + part.minutes);
        from += part.minutes;
      }
      before = answer.parts.at(-1)!.digits;
      end = cell.to;
    }
    return burns.flat();
  }

  private addBurns(
    burns: Burn[][],
    cluster: Cluster,
    cell: Cell,
    digits: readonly number[],
    from: number,
    to: number,
  ): void {
    cluster.outputs.forEach((index, n) => {
      const output = this.field.outputs[index]!;
      const level = levelOf(digits[n]!, radixOf(output));
      if (level > 0) burns[n]!.push({ output, level, from, to, serves: this.served(cell, index) });
    });
  }

  /** The demands lit in a cell, the one whose bags get most from the output first. */
  private served(cell: Cell, output: number): Lit[] {
    const lit = cell.zones.filter((zone) => zone !== undefined && zone !== 'dark');
    const most = (zone: Lit): number =>
      this.zoneField(cell.occupancy, zone.demand.zone)?.outputs[output]?.peak ?? 0;
    return lit.sort((a, b) => most(b) - most(a) || a.demand.zone - b.demand.zone);
  }

  private answer(cluster: Cluster, cell: Cell, before: readonly number[]): Answer {
    const asks = cluster.zones.map((zone, n) => this.askOf(cell, zone, cell.zones[n]));
    const key = [
      cell.to - cell.from,
      cell.background.join(),
      before.join(''),
      ...asks.map((ask) => ask?.key),
    ].join('|');
    const known = this.answers.get(key);
    if (known !== undefined) return known;
    const answer = solveCell(this.problemOf(cluster, cell, asks, before));
    this.answers.set(key, answer);
    return answer;
  }

  private askOf(cell: Cell, zone: number, now: Lit | 'dark' | undefined) {
    const zoneField = this.zoneField(cell.occupancy, zone);
    if (zoneField === undefined || now === undefined) return undefined;
    const ask = this.ask(zoneField, now);
    const id = this.ids.get(zoneField)!;
    if (ask.kind === 'dark') return { zoneField, ask, key: `${id}d` };
    return { zoneField, ask, key: `${id}:${ask.side?.azimuth ?? 'u'}:${ask.low}:${ask.high}` };
  }

  private ask(zoneField: ZoneField, now: Lit | 'dark'): Ask {
    if (now === 'dark') return { kind: 'dark' };
    const { side, level } = now.demand;
    const film = this.plan.bags[zoneField.bag]!.film;
    return {
      kind: 'lit',
      side: side === 'upright' ? undefined : this.side(side),
      low: Math.round(level[0] * 100),
      high: Math.round(level[1] * 100),
      contrast: contrastWanted(film.scatters),
    };
  }

  private side(degrees: number) {
    const azimuth = ((degrees % 360) + 360) % 360;
    return {
      azimuth,
      normal: azimuthNormal(azimuth),
      face: faceColumn(this.field, azimuth),
      opposite: faceColumn(this.field, (azimuth + 180) % 360),
    };
  }

  private problemOf(
    cluster: Cluster,
    cell: Cell,
    asks: readonly ({ zoneField: ZoneField; ask: Ask } | undefined)[],
    before: readonly number[],
  ): Problem {
    const zones: AskedZone[] = asks.flatMap((asked) => {
      if (asked === undefined) return [];
      const table = this.table(asked.zoneField, cell.background);
      return [{ ask: asked.ask, table, at: table.outputs.map((output) => cluster.outputs.indexOf(output)) }];
    });
    const outputs = cluster.outputs.map((index) => this.field.outputs[index]!);
    return { minutes: cell.to - cell.from, slot: 15, outputs, radix: outputs.map(radixOf), zones, before };
  }

  private table(zoneField: ZoneField, background: readonly number[]): PatternTable {
    const key = `${this.ids.get(zoneField)}:${background.join()}`;
    const known = this.tables.get(key) ?? patternTable(zoneField, this.field.outputs, background);
    this.tables.set(key, known);
    return known;
  }

  private zoneField(occupancy: Occupancy, zone: number): ZoneField | undefined {
    const known = this.zoneFields.get(occupancy) ?? [];
    this.zoneFields.set(occupancy, known);
    if (!(zone in known)) known[zone] = this.field.zone(occupancy, zone);
    const found = known[zone];
    if (found !== undefined && !this.ids.has(found)) this.ids.set(found, this.ids.size);
    return found;
  }
}

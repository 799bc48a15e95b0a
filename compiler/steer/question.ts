/**
 * A cell's questions: what each zone asks, which outputs may burn for it, and which
 * zones must be settled together.
 *
 * Always holds: an output burns only while a zone it may burn for is lit and it helps
 * there: for a lean, when its own pull on the zone is less than 85° beside the side
 * asked for. Zones are in one question when an output that may burn reaches both, or
 * when something limits what burns at once.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { faceColumn, type LightField, type ZoneField } from '../light/field.ts';
import { azimuthNormal, type Occupancy } from '../light/trace.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { AskedZone, ZoneMemo } from '../solve/asked.ts';
import { LightOnZone, radixOf, tiedOutputs } from '../solve/patterns.ts';
import type { Problem } from '../solve/problem.ts';
import { type Ask, angleOff, contrastWanted, type Side } from '../solve/score.ts';
import { zonesOfOutput } from './belongs.ts';
import type { Cell, Lit } from './cells.ts';
import { choicesOf, type KnownChoices } from './known.ts';
import type { Limit } from './load.ts';

/** A lamp that pulls this far beside the side asked for (hundredths of a degree) is no help toward it. */
export const BESIDE_MOST = 8500;

/** One zone's part in a cell. */
export interface Asked {
  readonly zone: number;
  readonly zoneField: ZoneField;
  readonly ask: Ask;
  readonly now: Lit | 'dark';
  readonly key: string;
}

/** Zones that must be settled together, and the outputs that may burn for them. */
export interface Piece {
  readonly asked: readonly Asked[];
  /** Indices into the field's outputs, ascending. */
  readonly outputs: readonly number[];
  readonly zones: readonly AskedZone[];
  /** Equal for equal questions, but for minutes and what burns before. */
  readonly key: string;
}

/** A piece but for the demands it stands for; `members` are positions among the zones that ask. */
interface PiecePart extends Omit<Piece, 'asked'> {
  readonly members: readonly number[];
}

/** Hundredths of a degree between an output's own pull on a zone (mean of its bags) and a side. */
export function ownAngle(zoneField: ZoneField, output: number, side: Side): number {
  const sum = [0, 0];
  for (const row of zoneField.outputs[output]?.means ?? []) {
    sum[0] = itemAt(sum, 0) + itemAt(row, 0);
    sum[1] = itemAt(sum, 1) + itemAt(row, 1);
  }
  return angleOff(sum, 0, side);
}

export class Questions {
  private readonly plan: ResolvedPlan;
  private readonly field: LightField;
  private readonly known: KnownChoices;
  /** For each output the zones it may burn for. */
  private readonly owners: readonly ReadonlySet<number>[];
  private readonly zoneFields = new Map<Occupancy, (ZoneField | undefined)[]>();
  private readonly ids = new Map<ZoneField, number>();
  private readonly helpful = new Map<string, readonly number[]>();
  private readonly tied = new Map<ZoneField, readonly number[]>();
  private readonly lights = new Map<string, LightOnZone>();
  private readonly memos = new Map<string, ZoneMemo>();
  private readonly parts = new Map<string, PiecePart[]>();

  constructor(plan: ResolvedPlan, field: LightField) {
    this.plan = plan;
    this.field = field;
    this.known = choicesOf(field.known);
    this.owners = field.outputs.map((output) => new Set(zonesOfOutput(plan, output)));
  }

  zoneField(occupancy: Occupancy, zone: number): ZoneField | undefined {
    const known = this.zoneFields.get(occupancy) ?? [];
    this.zoneFields.set(occupancy, known);
    if (!(zone in known)) known[zone] = this.field.zone(occupancy, zone);
    const found = known[zone];
    if (found !== undefined && !this.ids.has(found)) this.ids.set(found, this.ids.size);
    return found;
  }

  /** What the zones with bags ask for in a cell. */
  asked(zones: readonly number[], cell: Cell): Asked[] {
    return zones.flatMap((zone, n) => {
      const now = cell.zones[n];
      const zoneField = this.zoneField(cell.occupancy, zone);
      if (zoneField === undefined || now === undefined) return [];
      const ask = this.askOf(zoneField, now);
      const id = sure(this.ids.get(zoneField));
      const key = ask.kind === 'dark' ? `${id}d` : `${id}:${ask.side?.azimuth ?? 'u'}:${ask.low}:${ask.high}`;
      return [{ zone, zoneField, ask, now, key }];
    });
  }

  private askOf(zoneField: ZoneField, now: Lit | 'dark'): Ask {
    if (now === 'dark') return { kind: 'dark' };
    const { side, level } = now.demand;
    const { film } = itemAt(this.plan.bags, zoneField.bag);
    return {
      kind: 'lit',
      side: side === 'upright' ? undefined : this.sideOf(side),
      low: Math.round(level[0] * 100),
      high: Math.round(level[1] * 100),
      contrast: contrastWanted(film),
    };
  }

  private sideOf(degrees: number): Side {
    const azimuth = ((degrees % 360) + 360) % 360;
    const normal = azimuthNormal(azimuth);
    const face = faceColumn(this.field, azimuth);
    return { azimuth, normal, face, opposite: faceColumn(this.field, (azimuth + 180) % 360) };
  }

  private tiedTo(zoneField: ZoneField): readonly number[] {
    const known = this.tied.get(zoneField) ?? tiedOutputs(zoneField);
    this.tied.set(zoneField, known);
    return known;
  }

  /** The zone's own outputs that help toward what it asks for, ascending. */
  private helpfulTo({ zone, zoneField, ask, key }: Asked): readonly number[] {
    if (ask.kind === 'dark') return [];
    const known = this.helpful.get(key);
    if (known !== undefined) return known;
    const { side } = ask;
    const found = this.tiedTo(zoneField).filter(
      (output) =>
        itemAt(this.owners, output).has(zone) &&
        (side === undefined || ownAngle(zoneField, output, side) < BESIDE_MOST),
    );
    this.helpful.set(key, found);
    return found;
  }

  /** The questions of a cell; `limits` tie everything together. Most days ask what another day did. */
  pieces(asked: readonly Asked[], { background }: Cell, limits: readonly Limit[]): Piece[] {
    const key = `${asked.map((one) => one.key).join()}|${background.join()}|${limits.length > 0}`;
    const parts = this.parts.get(key) ?? this.partsOf(asked, background, limits.length > 0);
    this.parts.set(key, parts);
    return parts.map(({ members, ...part }) => ({ ...part, asked: members.map((n) => itemAt(asked, n)) }));
  }

  private partsOf(asked: readonly Asked[], background: readonly number[], together: boolean): PiecePart[] {
    const may = new Set(asked.flatMap((one) => this.helpfulTo(one)));
    const reached = asked.map(({ zoneField }) => this.tiedTo(zoneField).filter((output) => may.has(output)));
    return connected(reached, together).map((members) => {
      const outputs = [...new Set(members.flatMap((n) => itemAt(reached, n)))].sort((a, b) => a - b);
      const zones = members.map((n) => this.askedZone(itemAt(asked, n), outputs, may, background));
      const key = `${background.join()}|${zones.map(({ memo }) => memo.id).join()}`;
      return { members, outputs, zones, key };
    });
  }

  private askedZone(
    asked: Asked,
    outputs: readonly number[],
    may: ReadonlySet<number>,
    background: readonly number[],
  ): AskedZone {
    const light = this.light(asked.zoneField, may, background);
    const helpful = this.helpfulTo(asked);
    const at = light.outputs.map((output) => outputs.indexOf(output));
    const own = light.outputs.filter((output) => helpful.includes(output)).map((o) => outputs.indexOf(o));
    let weight = 1;
    const weights = light.radix.map((radix) => {
      const now = weight;
      weight *= radix;
      return now;
    });
    const name = `${asked.key}|${background.join()}|${light.outputs.join()}`;
    const memo = this.memos.get(name) ?? {
      id: this.memos.size,
      ...this.costsOf(asked.ask, light),
      responses: new Map(),
      pairs: new Map(),
    };
    this.memos.set(name, memo);
    return { ask: asked.ask, light, at, weights, base: 0, own, memo };
  }

  private costsOf(ask: Ask, { sums }: LightOnZone): Pick<ZoneMemo, 'alike' | 'costs'> {
    const key = `${JSON.stringify(ask)} ${sums.id}`;
    const { costs } = this.known;
    const known = costs.get(key) ?? { alike: costs.size, costs: new Map() };
    costs.set(key, known);
    return known;
  }

  private light(zoneField: ZoneField, may: ReadonlySet<number>, background: readonly number[]): LightOnZone {
    const burning = this.tiedTo(zoneField).filter((output) => may.has(output));
    const key = `${sure(this.ids.get(zoneField))}|${background.join()}|${burning.join()}`;
    const known =
      this.lights.get(key) ??
      new LightOnZone(zoneField, this.field.outputs, burning, background, this.known.sums);
    this.lights.set(key, known);
    return known;
  }

  /** The question of a piece for so many minutes. */
  problem(
    piece: Piece,
    minutes: number,
    slot: number,
    before: readonly number[],
    limits: readonly Limit[],
  ): Problem {
    const outputs = piece.outputs.map((index) => itemAt(this.field.outputs, index));
    const within = limits.map((limit) => ({
      watts: limit.watts,
      outputs: limit.outputs.map((index) => piece.outputs.indexOf(index)).filter((position) => position >= 0),
    }));
    return {
      minutes,
      slot,
      outputs,
      radix: outputs.map(radixOf),
      zones: piece.zones,
      before,
      limits: within,
    };
  }
}

/** Equal for questions that have the same answer, whatever zones and outputs they are about. */
export function questionText({ minutes, slot, outputs, radix, zones, before, limits }: Problem): string {
  const lamps = outputs.map(({ watts }, n) => `${watts}/${itemAt(radix, n)}/${itemAt(before, n)}`);
  const asks = zones.map(({ memo, at, own, base }) => `${memo.alike}:${at.join()}:${own.join()}:${base}`);
  return `${minutes} ${slot}|${lamps.join()}|${asks.join(';')}|${JSON.stringify(limits)}`;
}

/** Groups of list positions that share an item, each ascending; all in one where `together`. */
function connected(lists: readonly (readonly number[])[], together: boolean): number[][] {
  const parent = lists.map((_, n) => n);
  const root = (n: number): number => {
    let at = n;
    while (itemAt(parent, at) !== at) at = itemAt(parent, at);
    parent[n] = at;
    return at;
  };
  const first = new Map<number, number>();
  lists.forEach((list, n) => {
    for (const item of list) {
      const [a, b] = [root(n), root(together ? 0 : (first.get(item) ?? n))];
      parent[Math.max(a, b)] = Math.min(a, b);
      if (!first.has(item)) first.set(item, n);
    }
  });
  const groups = new Map<number, number[]>();
  lists.forEach((_, n) => {
    const at = root(n);
    groups.set(at, [...(groups.get(at) ?? []), n]);
  });
  return [...groups.values()];
}

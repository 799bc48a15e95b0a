/**
 * Settles clusters cell by cell, keeping what has been worked out.
 *
 * Always holds: an answer depends only on the question: the zones' fields and asks,
 * the cell's length, the background, and what burns just before.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { faceColumn, type LightField, type ZoneField } from '../light/field.ts';
import { azimuthNormal, type Occupancy } from '../light/trace.ts';
import { batchOn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Answer } from '../solve/pairs.ts';
import { dimSteps, levelOf, type PatternTable, patternTable, radixOf } from '../solve/patterns.ts';
import type { AskedZone, Part, Problem } from '../solve/problem.ts';
import type { LinearSolver } from '../solve/program.ts';
import { type Ask, compareScores, contrastWanted, isMet, LENGTH, type Side } from '../solve/score.ts';
import { answerOf, isLarge, solveCell } from '../solve/solve.ts';
import type { Burn } from './blocks.ts';
import type { Cell, Cluster, Lit } from './cells.ts';
import { type Burning, type Figures, zoneFigures } from './figures.ts';
import type { Limit } from './load.ts';
import type { Treatments } from './treatment.ts';

/** Shortest stretch one pattern burns, minutes, if the boards allow shorter ones. */
const SLOT_LEAST = 15;

/** One zone's part in a cell. */
interface Asked {
  readonly zone: number;
  readonly zoneField: ZoneField;
  readonly ask: Ask;
  readonly now: Lit | 'dark';
  readonly key: string;
}

/** A settled cell. */
interface Settled {
  readonly answer: Answer;
  /** Per asked zone, in order; worked out when first wanted. */
  readonly figures: (Figures | undefined)[];
}

export class Steerer {
  private readonly tables = new Map<string, PatternTable>();
  private readonly settled = new Map<string, Settled>();
  private readonly zoneFields = new Map<Occupancy, (ZoneField | undefined)[]>();
  private readonly ids = new Map<ZoneField, number>();

  private readonly plan: ResolvedPlan;
  private readonly field: LightField;
  private readonly limits: readonly Limit[];
  private readonly solver: LinearSolver | undefined;
  private readonly treatments: Treatments;
  /** Set when a solver was missed. */
  wantsSolver = false;

  constructor(
    plan: ResolvedPlan,
    field: LightField,
    limits: readonly Limit[],
    solver: LinearSolver | undefined,
    treatments: Treatments,
  ) {
    this.plan = plan;
    this.field = field;
    this.limits = limits;
    this.solver = solver;
    this.treatments = treatments;
  }

  /** What burns in a cluster through its cells, output by output, in order of time; notes what its zones get. */
  burnsOf(cluster: Cluster, cells: readonly Cell[]): Burn[] {
    const frame = this.frameOf(cluster, cells);
    const settled = this.settleAll(frame, cells);
    this.smooth(frame, cells, settled);
    const burns: Burn[][] = cluster.outputs.map(() => []);
    cells.forEach((cell, n) => {
      let from = cell.from;
      for (const part of itemAt(settled, n).answer.parts) {
        this.addBurns(burns, frame, cell, part.digits, from, from + part.minutes);
        from += part.minutes;
      }
      this.note(frame, cell, itemAt(settled, n));
    });
    return burns.flat();
  }

  /** What does not change from cell to cell. */
  private frameOf(cluster: Cluster, cells: readonly Cell[]): Frame {
    const zones = new Set<ZoneField>();
    for (const { occupancy } of cells) {
      for (const zone of cluster.zones) {
        const found = this.zoneField(occupancy, zone);
        if (found !== undefined) zones.add(found);
      }
    }
    const steps = dimSteps([...zones], this.field.outputs);
    const outputs = cluster.outputs.map((index) => itemAt(this.field.outputs, index));
    const boards = outputs.map(
      ({ controller }) => itemAt(this.plan.controllers, controller).board.limits.blockMinutes,
    );
    const at = (index: number): number => cluster.outputs.indexOf(index);
    const limits = this.limits.map((limit) => ({
      ...limit,
      outputs: limit.outputs.map(at).filter((position) => position >= 0),
    }));
    return {
      cluster,
      steps,
      outputs,
      radix: outputs.map((output) => radixOf(output, steps)),
      slot: Math.max(SLOT_LEAST, ...boards),
      limits,
      off: outputs.map(() => 0),
      zones: new Map(),
    };
  }

  private settleAll(frame: Frame, cells: readonly Cell[]): Settled[] {
    let before = frame.off;
    return cells.map((cell, n) => {
      if (n > 0 && itemAt(cells, n - 1).to < cell.from) before = frame.off;
      const settled = this.settle(frame, cell, before);
      before = sure(settled.answer.parts.at(-1)).digits;
      return settled;
    });
  }

  /**
   * In a stretch of cells shorter than a slot an output may not switch on and off again:
   * what burns before goes on to some cell, and what burns after begins there.
   */
  private smooth(frame: Frame, cells: readonly Cell[], settled: Settled[]): void {
    for (const [first, end] of shortStretches(cells, frame.slot)) {
      const before =
        cells[first - 1]?.to === itemAt(cells, first).from
          ? lastDigits(itemAt(settled, first - 1))
          : frame.off;
      const after =
        cells[end]?.from === itemAt(cells, end - 1).to ? firstDigits(itemAt(settled, end)) : frame.off;
      const now = settled.slice(first, end);
      if (!flickers([before, ...now.map(firstDigits), after])) continue;
      const ways = Array.from({ length: end - first + 1 }, (_, turn) =>
        now.map((_one, n) => this.answerAs(frame, itemAt(cells, first + n), n < turn ? before : after)),
      );
      const best = ways.reduce((top, way) => (compareScores(total(way), 0, total(top), 0) < 0 ? way : top));
      // A photoperiod that is itself so short burns for itself; a longer one does without these minutes.
      if (cells.slice(first, end).some((cell) => cell.zones.some((zone) => isBrief(zone, frame.slot))))
        continue;
      best.forEach((answer, n) => {
        settled[first + n] = { answer, figures: [] };
      });
    }
  }

  private answerAs(frame: Frame, cell: Cell, digits: readonly number[]): Answer {
    return answerOf(this.problemOf(frame, cell, this.asked(frame, cell), digits), digits);
  }

  private addBurns(
    burns: Burn[][],
    frame: Frame,
    cell: Cell,
    digits: readonly number[],
    from: number,
    to: number,
  ): void {
    frame.outputs.forEach((output, n) => {
      const level = levelOf(itemAt(digits, n), itemAt(frame.radix, n));
      if (level === 0) return;
      itemAt(burns, n).push({
        output,
        level,
        from,
        to,
        serves: this.served(cell, itemAt(frame.cluster.outputs, n)),
      });
    });
  }

  /** The demands lit in a cell, the one whose bags get most from the output first. */
  private served(cell: Cell, output: number): Lit[] {
    const lit = cell.zones.filter((zone) => zone !== undefined && zone !== 'dark');
    if (lit.length === 1) return lit;
    const most = ({ demand }: Lit): number =>
      this.zoneField(cell.occupancy, demand.zone)?.outputs[output]?.peak ?? 0;
    return lit.sort((a, b) => most(b) - most(a) || a.demand.zone - b.demand.zone);
  }

  private settle(frame: Frame, cell: Cell, before: readonly number[]): Settled {
    const asked = this.asked(frame, cell);
    const asks = asked.map(({ key }) => key).join(' ');
    const key = `${cell.to - cell.from}|${cell.background.join()}|${before.join('')}|${asks}`;
    const known = this.settled.get(key);
    if (known !== undefined) return known;
    const answer = asked.every(({ now }) => now === 'dark')
      ? { parts: [{ minutes: cell.to - cell.from, digits: frame.off }], score: new Float64Array(LENGTH) }
      : this.solve(this.problemOf(frame, cell, asked, before));
    const settled = { answer, figures: [] };
    this.settled.set(key, settled);
    return settled;
  }

  private solve(problem: Problem): Answer {
    const answer = solveCell(problem, this.solver);
    if (this.solver === undefined && isLarge(problem) && !isMet(answer.score)) this.wantsSolver = true;
    return answer;
  }

  /** Tells the treatments what each zone of the cell gets. */
  private note(frame: Frame, cell: Cell, settled: Settled): void {
    this.asked(frame, cell).forEach(({ zone, zoneField, ask, now }, n) => {
      const burning = settled.answer.parts.map((part) => burningOf(frame, part));
      settled.figures[n] ??= zoneFigures(zoneField, ask, burning, cell.background);
      const batch = now === 'dark' ? batchOn(this.plan, zone, cell.day) : now.demand.batch;
      if (batch === undefined) return;
      const day = now === 'dark' ? cell.day : now.day;
      const figures = itemAt(settled.figures, n);
      const minutes = cell.to - cell.from;
      const { background } = cell;
      this.treatments.add(
        { zone, batch, ask, figures, zoneField, burning, background, minutes },
        day,
        cell.from,
      );
    });
  }

  private asked(frame: Frame, cell: Cell): Asked[] {
    return frame.cluster.zones.flatMap((zone, n) => {
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

  private problemOf(frame: Frame, cell: Cell, asked: readonly Asked[], before: readonly number[]): Problem {
    const zones = asked.map((one) => this.askedZone(frame, one, cell.background));
    const { slot, outputs, radix, limits } = frame;
    return { minutes: cell.to - cell.from, slot, outputs, radix, zones, before, limits };
  }

  /** A zone's ask with its table, the same object for the same question of a cluster. */
  private askedZone(frame: Frame, { zoneField, ask, key }: Asked, background: readonly number[]): AskedZone {
    const name = `${key}|${background.join()}`;
    const known = frame.zones.get(name);
    if (known !== undefined) return known;
    const table = this.table(zoneField, background, frame.steps);
    const at = table.outputs.map((output) => frame.cluster.outputs.indexOf(output));
    const made = { ask, table, at, memo: {} };
    frame.zones.set(name, made);
    return made;
  }

  private table(zoneField: ZoneField, background: readonly number[], steps: number): PatternTable {
    const key = `${this.ids.get(zoneField)}:${background.join()}:${steps}`;
    const known = this.tables.get(key) ?? patternTable(zoneField, this.field.outputs, background, steps);
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

/** A cluster with what is the same in all its cells. */
interface Frame {
  readonly cluster: Cluster;
  readonly steps: number;
  readonly outputs: Problem['outputs'];
  readonly radix: readonly number[];
  readonly slot: number;
  readonly limits: Problem['limits'];
  readonly off: readonly number[];
  readonly zones: Map<string, AskedZone>;
}

function burningOf(frame: Frame, part: Part): Burning {
  const levels = part.digits.flatMap((digit, n): [number, number][] =>
    digit > 0 ? [[itemAt(frame.cluster.outputs, n), levelOf(digit, itemAt(frame.radix, n))]] : [],
  );
  return { minutes: part.minutes, levels };
}

/** Stretches [first, end) of adjoining cells that are each shorter than a slot. */
function shortStretches(cells: readonly Cell[], slot: number): [first: number, end: number][] {
  const found: [number, number][] = [];
  cells.forEach((cell, n) => {
    if (cell.to - cell.from >= slot) return;
    const last = found.at(-1);
    if (last !== undefined && last[1] === n && itemAt(cells, n - 1).to === cell.from) last[1] = n + 1;
    else found.push([n, n + 1]);
  });
  return found;
}

/** Whether some output changes more than once through patterns in turn. */
function flickers(patterns: readonly (readonly number[])[]): boolean {
  return itemAt(patterns, 0).some((_, output) => {
    const changes = patterns.filter(
      (digits, n) => n > 0 && digits[output] !== itemAt(patterns, n - 1)[output],
    );
    return changes.length > 1;
  });
}

const firstDigits = ({ answer }: Settled): readonly number[] => itemAt(answer.parts, 0).digits;
const lastDigits = ({ answer }: Settled): readonly number[] => sure(answer.parts.at(-1)).digits;

/** Scores of several answers together. */
function total(answers: readonly Answer[]): Float64Array {
  const sum = new Float64Array(LENGTH);
  for (const { score } of answers)
    for (let part = 0; part < LENGTH; part++) sum[part] = itemAt(sum, part) + itemAt(score, part);
  return sum;
}

const isBrief = (zone: Lit | 'dark' | undefined, slot: number): boolean =>
  zone !== undefined && zone !== 'dark' && zone.to - zone.from < slot;

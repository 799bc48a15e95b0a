/**
 * Settles clusters cell by cell, keeping what has been worked out.
 *
 * Always holds: an answer depends only on the question: the zones' fields and asks,
 * the cell's length, the background, and what burns just before.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { LightField } from '../light/field.ts';
import { batchOn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Part } from '../solve/asked.ts';
import { levelOf, radixOf } from '../solve/patterns.ts';
import { answerOf, type CellAnswer, type Problem } from '../solve/problem.ts';
import { compareScores, LENGTH } from '../solve/score.ts';
import { solve } from '../solve/solve.ts';
import type { Burn } from './blocks.ts';
import type { Cell, Cluster, Lit } from './cells.ts';
import type { Burning, Figures } from './figures.ts';
import { choicesOf, type KnownChoices } from './known.ts';
import type { Limit } from './load.ts';
import { type Asked, type Piece, Questions, questionText } from './question.ts';
import type { Treatments } from './treatment.ts';

/** Shortest stretch one pattern burns, minutes, if the boards allow shorter ones. */
const SLOT_LEAST = 15;

/** An answered question. */
interface Settled {
  readonly answer: CellAnswer;
  /** What burns in the piece; worked out when first wanted. */
  burning?: readonly Burning[];
  /** Per asked zone, in order; worked out when first wanted. */
  readonly figures: (Figures | undefined)[];
}

/** A cell with its questions and their answers. */
interface SettledCell {
  readonly cell: Cell;
  readonly pieces: readonly Piece[];
  readonly settled: readonly Settled[];
  /** Digits of the cluster's outputs at the beginning and at the end. */
  readonly first: readonly number[];
  readonly last: readonly number[];
}

/** A cluster with what is the same in all its cells. */
interface Frame {
  readonly cluster: Cluster;
  /** Position in the cluster of an output (index into the field's). */
  readonly position: ReadonlyMap<number, number>;
  readonly slot: number;
  readonly off: readonly number[];
}

export class Steerer {
  private readonly plan: ResolvedPlan;
  private readonly field: LightField;
  private readonly limits: readonly Limit[];
  private readonly treatments: Treatments;
  private readonly questions: Questions;
  private readonly known = new Map<string, Settled>();
  private readonly choices: KnownChoices;

  constructor(
    plan: ResolvedPlan,
    field: LightField,
    limits: readonly Limit[],
    treatments: Treatments,
    questions: Questions = new Questions(plan, field),
  ) {
    this.plan = plan;
    this.field = field;
    this.limits = limits;
    this.choices = choicesOf(field.known);
    this.treatments = treatments;
    this.questions = questions;
  }

  /** What burns in a cluster through its cells, output by output, in order of time; notes what its zones get. */
  burnsOf(cluster: Cluster, cells: readonly Cell[]): Burn[] {
    const frame = this.frameOf(cluster);
    const settled = this.settleAll(frame, cells);
    this.smooth(frame, settled);
    const burns: Burn[][] = cluster.outputs.map(() => []);
    for (const one of settled) {
      this.addBurns(burns, frame, one);
      this.note(one);
    }
    return burns.flat();
  }

  /** What does not change from cell to cell. */
  private frameOf(cluster: Cluster): Frame {
    const outputs = cluster.outputs.map((index) => itemAt(this.field.outputs, index));
    const boards = outputs.map(
      ({ controller }) => itemAt(this.plan.controllers, controller).board.limits.blockMinutes,
    );
    return {
      cluster,
      position: new Map(cluster.outputs.map((output, n) => [output, n])),
      slot: Math.max(SLOT_LEAST, ...boards),
      off: outputs.map(() => 0),
    };
  }

  private settleAll(frame: Frame, cells: readonly Cell[]): SettledCell[] {
    let before = frame.off;
    return cells.map((cell, n) => {
      if (n > 0 && itemAt(cells, n - 1).to < cell.from) before = frame.off;
      const settled = this.settle(frame, cell, before);
      before = settled.last;
      return settled;
    });
  }

  private settle(frame: Frame, cell: Cell, before: readonly number[]): SettledCell {
    const asked = this.questions.asked(frame.cluster.zones, cell);
    const pieces = this.questions.pieces(asked, cell, this.limits);
    const settled = pieces.map((piece) => this.answer(frame, cell, piece, before));
    return withEnds(frame, { cell, pieces, settled });
  }

  private answer(frame: Frame, cell: Cell, piece: Piece, before: readonly number[]): Settled {
    const minutes = cell.to - cell.from;
    const then = digitsOf(frame, piece, before);
    const key = `${minutes}|${then.join()}|${piece.key}`;
    const known = this.known.get(key);
    if (known !== undefined) return known;
    const problem = this.questions.problem(piece, minutes, frame.slot, then, this.limits);
    const made = { answer: this.solved(problem), figures: [] };
    this.known.set(key, made);
    return made;
  }

  /** The answer to a question; zones alike ask the same. */
  private solved(problem: Problem): CellAnswer {
    const text = questionText(problem);
    const { answers } = this.choices;
    const known = answers.get(text) ?? solve(problem);
    answers.set(text, known);
    return known;
  }

  /**
   * In a stretch of cells shorter than a slot an output may not switch on and off again:
   * what burns before goes on to some cell, and what burns after begins there.
   */
  private smooth(frame: Frame, cells: SettledCell[]): void {
    for (const [first, end] of shortStretches(
      cells.map(({ cell }) => cell),
      frame.slot,
    )) {
      const [start, stop] = [itemAt(cells, first).cell.from, itemAt(cells, end - 1).cell.to];
      const before = cells[first - 1]?.cell.to === start ? sure(cells[first - 1]).last : frame.off;
      const after = cells[end]?.cell.from === stop ? sure(cells[end]).first : frame.off;
      const now = cells.slice(first, end);
      if (!flickers([before, ...now.map((one) => one.first), after])) continue;
      // A photoperiod that is itself so short burns for itself; a longer one does without these minutes.
      if (now.some(({ cell }) => cell.zones.some((zone) => isBrief(zone, frame.slot)))) continue;
      const ways = Array.from({ length: end - first + 1 }, (_, turn) =>
        now.map((one, n) => this.answeredAs(frame, one, n < turn ? before : after)),
      );
      const best = ways.reduce((top, way) => (compareScores(total(way), 0, total(top), 0) < 0 ? way : top));
      best.forEach((one, n) => {
        cells[first + n] = one;
      });
    }
  }

  /** A cell with every output that may burn there at given digits. */
  private answeredAs(frame: Frame, { cell, pieces }: SettledCell, digits: readonly number[]): SettledCell {
    const minutes = cell.to - cell.from;
    const settled = pieces.map((piece): Settled => {
      const own = digitsOf(frame, piece, digits);
      const problem = this.questions.problem(piece, minutes, frame.slot, own, this.limits);
      return { answer: answerOf(problem, [{ minutes, digits: own }]), figures: [] };
    });
    return withEnds(frame, { cell, pieces, settled });
  }

  private addBurns(burns: Burn[][], frame: Frame, { cell, pieces, settled }: SettledCell): void {
    const lit = cell.zones.filter((zone) => zone !== undefined && zone !== 'dark');
    pieces.forEach((piece, n) => {
      let from = cell.from;
      for (const { digits, minutes } of itemAt(settled, n).answer.parts) {
        for (const [output, level] of this.levelsOf(piece, digits)) {
          itemAt(burns, sure(frame.position.get(output))).push({
            output: itemAt(this.field.outputs, output),
            level,
            from,
            to: from + minutes,
            serves: this.served(cell, lit, output),
          });
        }
        from += minutes;
      }
    });
  }

  /** The demands lit in a cell, the one whose bags get most from the output first. */
  private served(cell: Cell, lit: readonly Lit[], output: number): readonly Lit[] {
    if (lit.length === 1) return lit;
    const peaks = lit.map((one) => ({
      one,
      peak: this.questions.zoneField(cell.occupancy, one.demand.zone)?.outputs[output]?.peak ?? 0,
    }));
    const reached = peaks.filter(({ peak }) => peak > 0);
    const rest = peaks.filter(({ peak }) => peak === 0);
    const sorted = reached.sort((a, b) => b.peak - a.peak || a.one.demand.zone - b.one.demand.zone);
    return [...sorted, ...rest].map(({ one }) => one);
  }

  /** Tells the treatments what each zone of the cell gets. */
  private note({ cell, pieces, settled }: SettledCell): void {
    const notes = pieces.flatMap((piece, n) =>
      piece.asked.map((asked, k) => ({ asked, piece, one: itemAt(settled, n), k })),
    );
    for (const { asked, piece, one, k } of notes.sort((a, b) => a.asked.zone - b.asked.zone)) {
      this.noteZone(cell, asked, piece, one, k);
    }
  }

  private noteZone(cell: Cell, asked: Asked, piece: Piece, settled: Settled, k: number): void {
    const { zone, zoneField, ask, now } = asked;
    const { background } = cell;
    settled.burning ??= this.burningOf(piece, settled.answer.parts);
    const { burning } = settled;
    // A copy of its own: treatments go by which figures they have.
    settled.figures[k] ??= { ...this.choices.figures.of(zoneField, ask, burning, background) };
    const batch = now === 'dark' ? batchOn(this.plan, zone, cell.day) : now.demand.batch;
    if (batch === undefined) return;
    const day = now === 'dark' ? cell.day : now.day;
    const figures = itemAt(settled.figures, k);
    const minutes = cell.to - cell.from;
    this.treatments.add(
      { zone, batch, ask, figures, zoneField, burning, background, minutes, gap: settled.answer.gap },
      day,
      cell.from,
    );
  }

  private burningOf(piece: Piece, parts: readonly Part[]): Burning[] {
    return parts.map(({ minutes, digits }) => ({ minutes, levels: this.levelsOf(piece, digits) }));
  }

  /** The outputs of a piece that burn (indices into the field's), with their levels. */
  private levelsOf({ outputs }: Piece, digits: readonly number[]): [number, number][] {
    return outputs.flatMap((output, n): [number, number][] => {
      const digit = itemAt(digits, n);
      return digit > 0 ? [[output, levelOf(digit, radixOf(itemAt(this.field.outputs, output)))]] : [];
    });
  }
}

/** A piece's own digits out of the cluster's. */
const digitsOf = ({ position }: Frame, { outputs }: Piece, digits: readonly number[]): number[] =>
  outputs.map((output) => itemAt(digits, sure(position.get(output))));

/** A cell with the digits of the whole cluster where it begins and ends. */
function withEnds(frame: Frame, parts: Omit<SettledCell, 'first' | 'last'>): SettledCell {
  const [first, last] = [[...frame.off], [...frame.off]];
  parts.pieces.forEach((piece, n) => {
    const { answer } = itemAt(parts.settled, n);
    piece.outputs.forEach((output, k) => {
      const at = sure(frame.position.get(output));
      first[at] = itemAt(itemAt(answer.parts, 0).digits, k);
      last[at] = itemAt(sure(answer.parts.at(-1)).digits, k);
    });
  });
  return { ...parts, first, last };
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

/** Scores of several cells together. */
function total(cells: readonly SettledCell[]): Float64Array {
  const sum = new Float64Array(LENGTH);
  for (const { settled } of cells) {
    for (const { answer } of settled) {
      for (let part = 0; part < LENGTH; part++) sum[part] = itemAt(sum, part) + itemAt(answer.score, part);
    }
  }
  return sum;
}

const isBrief = (zone: Lit | 'dark' | undefined, slot: number): boolean =>
  zone !== undefined && zone !== 'dark' && zone.to - zone.from < slot;

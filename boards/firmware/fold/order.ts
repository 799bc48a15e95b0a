/**
 * Puts functions in an order in which few calls reach farther than `rcall` can
 * (4 KB either way; a far one takes two bytes more), and functions that end by
 * jumping to another directly before it, which spares the jump.
 *
 * Always holds: the same program gives the same order, on any machine (whole
 * numbers only).
 */

import { itemAt, sure } from '../../../shared/assert.ts';
import { type AsmFunction, bytesOf, type Line, type Program } from './assembly.ts';
import { isSkip } from './repeats.ts';

/** Reach of rcall and rjmp less what the estimate may be off. */
export const REACH = 4_060;
const FAR_BYTES = 2;
/** Weighs so much that distance matters only between equals. */
const SCALE = 65_536;
const MOVES = 400_000;
const MOVES_A_PIECE = 1_000;
const BLOCK_MOST = 40;
/** Bytes by which an order may be worse at the beginning of the search. */
const PATIENCE = 12;

/** The label that a call or jump leads to, if it has a name. */
export const targetOf = ({ op, text }: Line): string | undefined =>
  /^r?(call|jmp)$/.test(op) ? /\s([A-Za-z_]\w*[\w.]*)/.exec(text.slice(1))?.[1] : undefined;

/** Functions that stay one after the other. */
interface Piece {
  readonly functions: AsmFunction[];
  readonly bytes: number;
}

/** A call or jump: pieces, and where in them it lies and leads, in bytes. */
interface Edge {
  readonly from: number;
  readonly at: number;
  readonly to: number;
  readonly into: number;
}

function pieceBytes(functions: readonly AsmFunction[]): number {
  return functions.reduce((sum, { lines }) => sum + lines.reduce((part, line) => part + bytesOf(line), 0), 0);
}

/** Joins functions whose last jump can be spared: each before the one it ends by jumping to. */
function joined(functions: readonly AsmFunction[]): Piece[] {
  const first = new Map(
    functions.map((one) => [one.lines.find(({ text }) => text.endsWith(':'))?.text, one]),
  );
  const before = new Map<AsmFunction, AsmFunction>();
  const after = new Map<AsmFunction, AsmFunction>();
  const lastOf = (one: AsmFunction): AsmFunction => {
    let end = one;
    for (let next = after.get(end); next; next = after.get(end)) end = next;
    return end;
  };
  for (const one of functions) {
    const last = sure(one.lines.at(-1));
    const beforeLast = one.lines.at(-2);
    const skipped = beforeLast !== undefined && isSkip(beforeLast);
    const next = /^r?jmp$/.test(last.op) && !skipped ? first.get(`${targetOf(last)}:`) : undefined;
    if (!next || !one.plain || before.has(next) || lastOf(next) === one) continue;
    one.lines = one.lines.slice(0, -1);
    after.set(one, next);
    before.set(next, one);
  }
  return functions
    .filter((one) => !before.has(one))
    .map((head) => {
      const chain: AsmFunction[] = [];
      for (let one: AsmFunction | undefined = head; one; one = after.get(one)) chain.push(one);
      return { functions: chain, bytes: pieceBytes(chain) };
    });
}

/** Every label's piece and place in it. */
function placesOf(pieces: readonly Piece[]): Map<string, { piece: number; at: number }> {
  const places = new Map<string, { piece: number; at: number }>();
  pieces.forEach(({ functions }, piece) => {
    let at = 0;
    for (const line of functions.flatMap(({ lines }) => lines)) {
      if (line.text.endsWith(':')) places.set(line.text.slice(0, -1), { piece, at });
      at += bytesOf(line);
    }
  });
  return places;
}

/** Calls and jumps between pieces; the index after the last stands for the library, which lies behind all. */
function edgesOf(pieces: readonly Piece[]): Edge[] {
  const places = placesOf(pieces);
  const edges: Edge[] = [];
  pieces.forEach(({ functions }, from) => {
    let at = 0;
    for (const line of functions.flatMap(({ lines }) => lines)) {
      const target = targetOf(line);
      const { piece: to, at: into } = places.get(target ?? '') ?? { piece: pieces.length, at: 0 };
      if (target !== undefined && to !== from) edges.push({ from, at, to, into });
      at += bytesOf(line);
    }
  });
  return edges;
}

/** Numbers from a linear congruential generator (Numerical Recipes' constants): below `limit`. */
function makeDraw(): (limit: number) => number {
  let state = 12_345;
  return (limit) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state >>> 8) % limit;
  };
}

function makeCost(pieces: readonly Piece[], edges: readonly Edge[]): (order: readonly number[]) => number {
  const begins = new Int32Array(pieces.length + 1);
  const sizes = pieces.map(({ bytes }) => bytes);
  return (order) => {
    let end = 0;
    for (const piece of order) {
      begins[piece] = end;
      end += itemAt(sizes, piece);
    }
    begins[pieces.length] = end;
    let cost = 0;
    for (const { from, at, to, into } of edges) {
      const distance = Math.abs(itemAt(begins, from) + at - itemAt(begins, to) - into);
      cost += distance > REACH ? FAR_BYTES * SCALE : distance;
    }
    return cost;
  };
}

/** Moves a stretch of the order elsewhere, often beside a piece it calls. */
function moved(
  order: readonly number[],
  neighbours: readonly number[][],
  draw: (limit: number) => number,
): number[] {
  const from = draw(order.length);
  const near = itemAt(neighbours, itemAt(order, from));
  const to =
    draw(2) === 0 && near.length > 0 ? order.indexOf(itemAt(near, draw(near.length))) : draw(order.length);
  const length = draw(4) === 0 ? 1 + draw(BLOCK_MOST) : 1;
  const rest = [...order];
  const stretch = rest.splice(from, length);
  rest.splice(Math.min(to, rest.length), 0, ...stretch);
  return rest;
}

/** Search that takes a worse order only within a threshold that sinks to nothing. */
function search(pieces: readonly Piece[], edges: readonly Edge[]): number[] {
  const draw = makeDraw();
  const cost = makeCost(pieces, edges);
  const neighbours = pieces.map((): number[] => []);
  for (const { from, to } of edges) {
    if (to === pieces.length) continue;
    itemAt(neighbours, from).push(to);
    itemAt(neighbours, to).push(from);
  }
  let order = [...pieces.keys()];
  let now = cost(order);
  let best = { order, cost: now };
  const moves = Math.min(MOVES, MOVES_A_PIECE * pieces.length);
  for (let move = 0; move < moves; move++) {
    const threshold = Math.floor((PATIENCE * SCALE * (moves - move)) / moves);
    const next = moved(order, neighbours, draw);
    const nextCost = cost(next);
    if (nextCost >= now + draw(threshold + 1)) continue;
    order = next;
    now = nextCost;
    if (now < best.cost) best = { order, cost: now };
  }
  return best.order;
}

/** The program with its functions in a better order. */
export function ordered(program: Program): Program {
  const pieces = joined(program.functions.map((one) => ({ ...one })));
  const order = search(pieces, edgesOf(pieces));
  return { functions: order.flatMap((at) => itemAt(pieces, at).functions), rest: program.rest };
}

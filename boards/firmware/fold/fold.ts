/**
 * Folds runs of instructions that repeat: GCC 5 has no such pass, and flash is
 * what this chip is short of. A run that leaves (returns, jumps) stays once and
 * is jumped to; any other becomes a subroutine.
 *
 * Always holds: a folded program does what it did, a few cycles later and a few
 * bytes of stack deeper. What is timed, touches the stack, or may be skipped
 * stays where it is.
 */

import { itemAt, sure } from '../../../shared/assert.ts';
import { type AsmFunction, bytesOf, type Line, type Program } from './assembly.ts';
import { findRepeats, isCall, type Repeat } from './repeats.ts';

const LABEL = 'folded';
/** Whether folding gave a function its name. */
export const isFolded = (name: string): boolean => /^folded_\d+$/.test(name);
const JUMP_BYTES = 2;
const RETURN_BYTES = 2;
const BARRIER: Line = { text: '', op: '' };

/** Bytes won by making `count` occurrences one. */
function won(repeat: Repeat, count: number, endsInCall: boolean): number {
  if (repeat.closed) return (count - 1) * (repeat.bytes - JUMP_BYTES);
  return count * (repeat.bytes - JUMP_BYTES) - repeat.bytes - (endsInCall ? 0 : RETURN_BYTES);
}

/** The occurrences that neither overlap each other nor touch what is taken. */
function freePlaces(repeat: Repeat, taken: Uint8Array): number[] {
  const free: number[] = [];
  let end = 0;
  for (const place of repeat.places) {
    if (place < end || taken.subarray(place, place + repeat.length).some((mark) => mark !== 0)) continue;
    free.push(place);
    end = place + repeat.length;
  }
  return free;
}

/** What stands at a place instead, and how many lines it stands for. */
interface Change {
  readonly length: number;
  readonly lines: readonly Line[];
}

interface Round {
  readonly changes: Map<number, Change>;
  readonly added: AsmFunction[];
}

const instruction = (op: string, operand = ''): Line => ({ text: `\t${op}${operand && ` ${operand}`}`, op });
const label = (name: string): Line => ({ text: `${name}:`, op: '' });

/** The run as a subroutine; one that ends in a call jumps there instead. */
function subroutine(name: string, run: readonly Line[]): AsmFunction {
  const last = sure(run.at(-1));
  const target = /\s(\S+)$/.exec(last.text)?.[1];
  const body = isCall(last)
    ? [...run.slice(0, -1), instruction('jmp', target)]
    : [...run, instruction('ret')];
  return { name, head: [], plain: true, lines: [label(name), ...body] };
}

function foldOne(
  round: Round,
  stream: readonly Line[],
  repeat: Repeat,
  places: readonly number[],
  name: string,
): void {
  const { length } = repeat;
  const run = stream.slice(itemAt(places, 0), itemAt(places, 0) + length);
  if (repeat.closed) {
    round.changes.set(itemAt(places, 0), { length, lines: [label(name), ...run] });
    for (const place of places.slice(1))
      round.changes.set(place, { length, lines: [instruction('jmp', name)] });
    return;
  }
  round.added.push(subroutine(name, run));
  for (const place of places) round.changes.set(place, { length, lines: [instruction('call', name)] });
}

function foldRound(stream: readonly Line[], names: () => string): Round {
  const round: Round = { changes: new Map(), added: [] };
  const taken = new Uint8Array(stream.length);
  const gains = findRepeats(stream).map((repeat) => ({
    repeat,
    gain: won(
      repeat,
      repeat.places.length,
      isCall(itemAt(stream, itemAt(repeat.places, 0) + repeat.length - 1)),
    ),
  }));
  gains.sort(
    (a, b) =>
      b.gain - a.gain ||
      b.repeat.length - a.repeat.length ||
      itemAt(a.repeat.places, 0) - itemAt(b.repeat.places, 0),
  );
  for (const { repeat, gain } of gains) {
    if (gain <= 0) break;
    const places = freePlaces(repeat, taken);
    const endsInCall = isCall(itemAt(stream, itemAt(repeat.places, 0) + repeat.length - 1));
    if (places.length < 2 || won(repeat, places.length, endsInCall) <= 0) continue;
    for (const place of places) taken.fill(1, place, place + repeat.length);
    foldOne(round, stream, repeat, places, names());
  }
  return round;
}

function applied(lines: readonly Line[], from: number, changes: ReadonlyMap<number, Change>): Line[] {
  const out: Line[] = [];
  for (let at = 0; at < lines.length; ) {
    const change = changes.get(from + at);
    out.push(...(change ? change.lines : [itemAt(lines, at)]));
    at += change ? change.length : 1;
  }
  return out;
}

/** Folds the program's plain functions until nothing more is won. Label names are new ones. */
export function fold(program: Program): Program {
  let functions = program.functions.map((one) => ({ ...one }));
  let count = 0;
  for (;;) {
    const plain = functions.filter((one) => one.plain);
    const stream = plain.flatMap((one) => [...one.lines, BARRIER]);
    const { changes, added } = foldRound(stream, () => `${LABEL}_${++count}`);
    if (changes.size === 0) return { functions, rest: program.rest };
    let from = 0;
    for (const one of plain) {
      const { length } = one.lines;
      one.lines = applied(one.lines, from, changes);
      from += length + 1;
    }
    functions = [...functions, ...added];
  }
}

/** Bytes of all functions, with every call and jump a near one. */
export function codeBytes({ functions }: Program): number {
  return functions.reduce((sum, { lines }) => sum + lines.reduce((part, line) => part + bytesOf(line), 0), 0);
}

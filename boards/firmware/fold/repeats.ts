/**
 * Which runs of instructions occur more than once, longest extension first:
 * runs grow by one instruction at a time, and only those that still repeat grow on.
 */

import { itemAt, sure } from '../../../shared/assert.ts';
import { bytesOf, type Line } from './assembly.ts';

/** A run that repeats: its places in the stream and its length in instructions. */
export interface Repeat {
  readonly places: readonly number[];
  readonly length: number;
  /** Ends in a jump or return: control never comes out at its end. */
  readonly closed: boolean;
  /** Bytes of one occurrence. */
  readonly bytes: number;
}

const LONGEST = 200;
const SKIPS = new Set(['cpse', 'sbrc', 'sbrs', 'sbic', 'sbis']);
const LEAVES = new Set(['ret', 'reti', 'rjmp', 'jmp', 'ijmp']);
const CALLS = new Set(['call', 'rcall']);
const isBranch = (op: string): boolean => op.startsWith('br');

/** Passes over what follows: a skip, or a branch by a number of bytes. */
export const isSkip = ({ op, text }: Line): boolean => SKIPS.has(op) || /\s\.[+-]\d/.test(text);
export const isCall = ({ op }: Line): boolean => CALLS.has(op);

/** Sees or moves the stack pointer, or makes room on the stack by calling the next instruction. */
function usesStack({ op, text }: Line): boolean {
  return op === 'push' || op === 'pop' || /__SP_[HL]__/.test(text) || /\br?call \./.test(text);
}

/** Each distinct instruction's number; -1 for what must stay where it is. */
function numberLines(stream: readonly Line[]): Int32Array {
  const numbers = new Map<string, number>();
  return Int32Array.from(stream, ({ op, text }) => {
    if (op === '') return -1;
    const known = numbers.get(text) ?? numbers.size;
    numbers.set(text, known);
    return known;
  });
}

interface Growing {
  /** Places by what stands there; each list ascends and has at least two. */
  readonly groups: readonly (readonly number[])[];
  readonly length: number;
}

function grouped(places: Iterable<number>, keyOf: (place: number) => number | undefined): number[][] {
  const groups = new Map<number, number[]>();
  for (const place of places) {
    const key = keyOf(place);
    if (key === undefined) continue;
    const group = groups.get(key);
    if (group) group.push(place);
    else groups.set(key, [place]);
  }
  return [...groups.values()].filter((group) => group.length > 1);
}

function describe(stream: readonly Line[], places: readonly number[], length: number): Repeat | undefined {
  const run = stream.slice(itemAt(places, 0), itemAt(places, 0) + length);
  const last = sure(run.at(-1));
  const skippedEnd = length > 1 && isSkip(sure(run.at(-2)));
  const closed = LEAVES.has(last.op) && !skippedEnd;
  const open = !closed && !isSkip(last) && !skippedEnd;
  if (!closed && (!open || run.some((line) => usesStack(line) || isBranch(line.op) || LEAVES.has(line.op))))
    return;
  return { places, length, closed, bytes: run.reduce((sum, line) => sum + bytesOf(line), 0) };
}

/** Nothing follows an unconditional leave, but for one that a skip may skip. */
function mayGrow(stream: readonly Line[], place: number, length: number): boolean {
  const last = itemAt(stream, place + length - 1);
  return !LEAVES.has(last.op) || (length > 1 && isSkip(itemAt(stream, place + length - 2)));
}

/**
 * All runs of `stream` that occur at least twice and could be one: those that
 * leave (`closed`), and those that neither branch nor touch the stack. Lines
 * without an operation stand in no run; nor does what a skip before it may skip begin one.
 */
export function findRepeats(stream: readonly Line[]): Repeat[] {
  const numbers = numberLines(stream);
  const starts = [...stream.keys()].filter(
    (at) => itemAt(numbers, at) >= 0 && !(at > 0 && isSkip(itemAt(stream, at - 1))),
  );
  const found: Repeat[] = [];
  let growing: Growing = { groups: grouped(starts, (at) => numbers[at]), length: 1 };
  while (growing.groups.length > 0 && growing.length < LONGEST) {
    const { groups, length } = growing;
    const next: number[][] = [];
    for (const group of groups) {
      const repeat = describe(stream, group, length);
      if (repeat) found.push(repeat);
      if (!mayGrow(stream, itemAt(group, 0), length)) continue;
      next.push(
        ...grouped(group, (at) => {
          const number = numbers[at + length];
          return number === undefined || number < 0 ? undefined : number;
        }),
      );
    }
    growing = { groups: next, length: length + 1 };
  }
  return found;
}

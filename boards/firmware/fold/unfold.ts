/**
 * Takes back what folding did not win, once it is known how far calls reach: a
 * far call takes four bytes, and what it calls may be no longer.
 *
 * Always holds: the program gets no longer by it, and faster.
 */

import { sure } from '../../../shared/assert.ts';
import { type AsmFunction, bytesOf, type Line, type Program } from './assembly.ts';
import { REACH, targetOf } from './order.ts';

const NEAR_BYTES = 2;
const FAR_BYTES = 4;

/** What a subroutine that folding made does before it returns; undefined if it is more than that. */
function bodyOf({ lines }: AsmFunction): readonly Line[] | undefined {
  const body = lines.slice(1, -1);
  const simple = sure(lines.at(-1)).op === 'ret' && body.every(({ op }) => op !== '' && op !== 'call');
  return simple ? body : undefined;
}

/** Address of every label, and of every function's first byte. */
function addressesOf({ functions }: Program): Map<string, number> {
  const addresses = new Map<string, number>();
  let at = 0;
  for (const line of functions.flatMap(({ lines }) => lines)) {
    if (line.text.endsWith(':')) addresses.set(line.text.slice(0, -1), at);
    at += bytesOf(line);
  }
  return addresses;
}

const bytesOfAll = (lines: readonly Line[]): number => lines.reduce((sum, line) => sum + bytesOf(line), 0);

/** `program` as folding left it, `placed` the same in its order; `isFolded`: names that folding gave. */
export function unfold(program: Program, placed: Program, isFolded: (name: string) => boolean): Program {
  const addresses = addressesOf(placed);
  const bodies = new Map<string, readonly Line[]>();
  for (const one of program.functions) {
    const body = isFolded(one.name) ? bodyOf(one) : undefined;
    if (body) bodies.set(one.name, body);
  }
  const functions = program.functions.map((one) => {
    let at = addresses.get(one.name) ?? 0;
    const lines = one.lines.flatMap((line) => {
      const target = line.op === 'call' ? targetOf(line) : undefined;
      const body = target === undefined ? undefined : bodies.get(target);
      const distance = Math.abs((addresses.get(target ?? '') ?? 0) - at);
      at += bytesOf(line);
      return body && bytesOfAll(body) <= (distance > REACH ? FAR_BYTES : NEAR_BYTES) ? body : [line];
    });
    return { ...one, lines };
  });
  const used = new Set(functions.flatMap(({ lines }) => lines.map(targetOf)));
  return { functions: functions.filter(({ name }) => !isFolded(name) || used.has(name)), rest: program.rest };
}

/**
 * How many examples a test draws: some in `npm test`, all of them in the long
 * tests, where `NAME.long.test.ts` asks for all and then reads `NAME.slow.test.ts`.
 *
 * Always holds: the first `some` examples are the same in both.
 */

let whole = false;

/** From now on `share` gives all; called by a long test before it reads the slow one. */
export function askForAll(): void {
  whole = true;
}

/** `some` of `all` examples, or all of them. */
export function share(some: number, all: number): number {
  return whole ? all : some;
}

/**
 * How many examples a test draws: some in `npm test`, half of all in the long
 * tests, where `NAME.long.test.ts` asks for many and then reads `NAME.slow.test.ts`,
 * and all of them with LEANWARD_ALL=1.
 *
 * Always holds: the first `some` examples are the same in all three.
 */

let asked = false;

/** What the long tests draw of so many examples. */
export function many(all: number): number {
  return process.env.LEANWARD_ALL ? all : Math.ceil(all / 2);
}

/** From now on `share` gives many; called by a long test before it reads the slow one. */
export function askForMany(): void {
  asked = true;
}

/** `some` of `all` examples, or many of them. */
export function share(some: number, all: number): number {
  return asked ? Math.max(some, many(all)) : some;
}

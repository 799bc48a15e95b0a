/**
 * Repeatable chance: the state is one whole number, kept by whoever draws.
 *
 * Always holds: the same state gives the same draws.
 */

/** A source of chance as plain data. */
export interface Chance {
  state: number;
}

/** A whole number 0 … below `limit`; xorshift32 (Marsaglia 2003, shifts 13, 17, 5). */
export function draw(chance: Chance, limit: number): number {
  let x = chance.state | 0 || 1;
  x ^= x << 13;
  x ^= x >>> 17;
  x ^= x << 5;
  chance.state = x >>> 0;
  return chance.state % limit;
}

/**
 * Promises between our own functions, checked while the program runs.
 *
 * Always holds: what fails here is an error in Leanward (exit code 70), never
 * the grower's input: bad input is a finding or a `Failure`.
 */

/** A promise that one of our own functions broke. */
export class BrokenPromise extends Error {
  override name = 'BrokenPromise';
}

/** Holds `condition`; throws `BrokenPromise` with `promise`, the sentence that should have been true. */
export function assert(condition: unknown, promise: string): asserts condition {
  if (!condition) throw new BrokenPromise(promise);
}

/** Item `index` (from 0) of a list that has it; throws `BrokenPromise` otherwise. */
export function itemAt<T>(list: ArrayLike<T>, index: number): NonNullable<T> {
  const item = list[index];
  if (item === undefined || item === null)
    throw new BrokenPromise(`a list of ${list.length} has an item ${index}`);
  return item;
}

/**
 * Number `index` (from 0) of an array of numbers that has it; throws `BrokenPromise` otherwise.
 * For loops that run often: it sees few kinds of arrays, so that it is quicker than `itemAt`, which sees
 * them all. The innermost loops of the light still read without looking.
 */
export function numberAt(list: Float64Array | Float32Array | Int32Array, index: number): number {
  return list[index] ?? noNumber(list, index);
}

function noNumber({ length }: ArrayLike<number>, index: number): never {
  throw new BrokenPromise(`an array of ${length} has a number ${index}`);
}

/** A value that is there; throws `BrokenPromise` when it is undefined or null. */
export function sure<T>(value: T | undefined | null): T {
  if (value === undefined || value === null) throw new BrokenPromise('a value is there');
  return value;
}

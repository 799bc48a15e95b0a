/** Work whose words are gathered, for an answer of the desk. */

import { Failure } from '../../failure.ts';
import { type Face, facing } from '../../jobs/face.ts';

/** Runs work that asks nobody; a failure that told its words beside it becomes one that says them. */
export async function hearing<T>(work: () => Promise<T>): Promise<T> {
  const remarks: string[] = [];
  const face: Face = {
    say: () => undefined,
    remark: (text) => remarks.push(text.trim()),
    sayJson: () => undefined,
    progress: () => () => undefined,
    canAsk: () => false,
    ask: () => Promise.reject(new Error('the desk asks nobody meanwhile')),
    hasGone: () => false,
    inColour: () => false,
    halting: () => ({ over: (pace) => pace, end: () => undefined }),
  };
  try {
    return await facing(face, work);
  } catch (error) {
    if (!(error instanceof Failure) || !error.told) throw error;
    throw new Failure(error.kind, [...remarks, error.message].join('\n'));
  }
}

/** The desk's thread: a question is answered whatever became of the thread before. */

import { expect, it } from 'vitest';
import { LongWork } from '../../../src/desk/server/thread.ts';

/** A real thread that fails at a plan named `bad`, and answers all others with their names. */
const THREAD = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort } from 'node:worker_threads';
    parentPort.on('message', ({ id, ask }) => {
      if (ask.path === 'bad') throw new Error('the thread fell over');
      parentPort.postMessage({ id, answer: ask.path });
    });
  `)}`,
);

it('answers what is asked next, though the thread before that failed has yet to end', async () => {
  const work = new LongWork(THREAD);
  const ask = (path: string): Promise<unknown> => work.ask('lived', { path } as never);
  try {
    for (let i = 0; i < 3; i++) {
      await expect(ask('bad')).rejects.toThrow('the thread fell over');
      expect(await ask('good')).toBe('good');
    }
  } finally {
    work.close();
  }
});

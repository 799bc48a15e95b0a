/** What is asked of the page's worker, and in what order it is asked on. */

import { expect, it } from 'vitest';
import { PageWorker } from '../../../src/desk/browser/ask-worker.ts';

/** A worker that answers when it is told to. */
class Slow extends EventTarget {
  readonly asked: { readonly id: number; readonly kind: string }[] = [];
  postMessage(question: { readonly id: number; readonly kind: string }): void {
    this.asked.push(question);
  }
  answer(): void {
    const data = { id: this.asked.at(-1)?.id, answer: this.asked.at(-1)?.kind };
    this.dispatchEvent(Object.assign(new Event('message'), { data }));
  }
}

const AT = { day: 0, minute: 0 } as never;
const LEAN = { day: 0 as never, rates: [], shelves: [0] };
const CHECK = { text: '', photometry: {}, at: AT, events: [] };

it('answers what was typed or dragged before what comes in sight a moment later', async () => {
  const slow = new Slow();
  const worker = new PageWorker(slow as never);
  const answers = [
    worker.ask('check', CHECK),
    worker.ask('lean', LEAN),
    worker.ask('map', { at: AT, shelves: [] }),
    worker.ask('moment', AT),
    worker.ask('check', CHECK),
  ];
  for (const _ of answers) slow.answer();
  await Promise.all(answers);
  expect(slow.asked.map(({ kind }) => kind)).toEqual(['check', 'moment', 'check', 'lean', 'map']);
});

it('drops a question in whose place a newer one of its kind has come, but no move', async () => {
  const slow = new Slow();
  const worker = new PageWorker(slow as never);
  const move = { text: '', what: { kind: 'lamp', name: 'a' } as const, going: { axis: 0, to: 1 } as const };
  const answers = [
    worker.ask('moment', AT),
    worker.ask('check', CHECK),
    worker.ask('move', move),
    worker.ask('move', move),
    worker.ask('check', CHECK),
  ];
  for (const _ of slow.asked.concat(['move', 'move', 'check'] as never)) slow.answer();
  expect(await Promise.all(answers)).toEqual(['moment', undefined, 'move', 'move', 'check']);
});

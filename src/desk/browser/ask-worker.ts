/**
 * Questions to the page's worker, and their answers.
 *
 * Always holds: of questions that are asked again and again, only the newest
 * is waited for, and the older ones are answered with undefined; a move is
 * never dropped; what was typed, dragged or moved is answered before what
 * comes in sight a moment later.
 */

import type { Answer, WorkerQuestions } from './messages.ts';

/** Of these only the newest matters. */
const NEWEST_ONLY: ReadonlySet<keyof WorkerQuestions> = new Set([
  'check',
  'moment',
  'trial',
  'lean',
  'map',
  'weeks',
]);

/** These wait until nothing else does. */
const LATER: ReadonlySet<keyof WorkerQuestions> = new Set(['lean', 'map', 'weeks']);

/** A worker, as it is asked. */
type Asked = Pick<Worker, 'postMessage' | 'addEventListener'>;

interface Waiting {
  readonly kind: keyof WorkerQuestions;
  readonly ask: unknown;
  readonly resolve: (answer: unknown) => void;
  readonly reject: (fault: Error) => void;
}

export class PageWorker {
  private readonly worker: Asked;
  private readonly waiting: Waiting[] = [];
  private asked: (Waiting & { readonly id: number }) | undefined;
  private count = 0;

  constructor(worker: Asked = new Worker('/worker.js', { type: 'module' })) {
    this.worker = worker;
    this.worker.addEventListener('message', ({ data }: MessageEvent<Answer>) => this.take(data));
    this.worker.addEventListener('error', () => {
      this.asked?.reject(new Error('The worker of this page has stopped. Load the page again.'));
    });
  }

  /** Asks; undefined when a newer question of its kind took its place. */
  ask<K extends keyof WorkerQuestions>(
    kind: K,
    ask: WorkerQuestions[K]['ask'],
  ): Promise<WorkerQuestions[K]['answer'] | undefined> {
    const older = NEWEST_ONLY.has(kind) ? this.waiting.findIndex((one) => one.kind === kind) : -1;
    if (older >= 0) this.waiting.splice(older, 1)[0]?.resolve(undefined);
    return new Promise((resolve, reject) => {
      this.waiting.push({
        kind,
        ask,
        resolve: (answer) => resolve(answer as WorkerQuestions[K]['answer']),
        reject,
      });
      this.next();
    });
  }

  private next(): void {
    if (this.asked) return;
    const now = this.waiting.findIndex(({ kind }) => !LATER.has(kind));
    const [first] = this.waiting.splice(Math.max(0, now), 1);
    if (!first) return;
    this.count += 1;
    this.asked = { ...first, id: this.count };
    this.worker.postMessage({ id: this.count, kind: first.kind, ask: first.ask });
  }

  private take({ id, answer, fault }: Answer): void {
    const { asked } = this;
    if (asked?.id !== id) return;
    this.asked = undefined;
    if (fault === undefined) asked.resolve(answer);
    else asked.reject(new Error(fault));
    this.next();
  }
}

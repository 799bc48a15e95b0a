/**
 * What takes long is worked out in a thread of its own, so that the server
 * answers meanwhile: the review, and the weeks as they were lived.
 *
 * Always holds: in the thread only this file's questions are answered, one
 * after the other, from plain data to plain data; a failure comes back with its
 * words. The thread runs the very file that asks it, so both are of one build.
 */

import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { Failure, type FailureKind } from '../../failure.ts';
import type { Lived, ReviewAnswer } from '../wire-book.ts';
import { hearing } from './hearing.ts';
import type { LongAsk } from './review.ts';

/** The questions, and what they are answered with. */
interface LongAnswers {
  readonly review: ReviewAnswer;
  readonly lived: Lived;
}

type Kind = keyof LongAnswers;

interface Question {
  readonly id: number;
  readonly kind: Kind;
  readonly ask: LongAsk;
}

type Answer = { readonly id: number } & (
  | { readonly answer: LongAnswers[Kind] }
  | { readonly failure: { readonly kind: FailureKind; readonly message: string; readonly hint?: string } }
  | { readonly fault: string }
);

const MARK = 'leanward-desk-thread';

/** The thread as the server has it: begun with the first question. */
export class LongWork {
  private thread: Worker | undefined;
  private readonly waiting = new Map<number, (answer: Answer) => void>();
  private count = 0;
  private readonly file: URL;

  /** `file` is what the thread runs: this one. */
  constructor(file = new URL(import.meta.url)) {
    this.file = file;
  }

  /** Asks; throws Failure as the work itself would. */
  async ask<K extends Kind>(kind: K, ask: LongAsk): Promise<LongAnswers[K]> {
    this.thread ??= this.begin();
    this.count += 1;
    const question: Question = { id: this.count, kind, ask };
    const answer = await new Promise<Answer>((resolve) => {
      this.waiting.set(question.id, resolve);
      this.thread?.postMessage(question);
    });
    if ('failure' in answer) {
      const { kind: of, message, hint } = answer.failure;
      throw new Failure(of, message, { hint });
    }
    if ('fault' in answer) throw new Error(answer.fault);
    return answer.answer as LongAnswers[K];
  }

  /** Ends the thread, whatever it does. */
  close(): void {
    void this.thread?.terminate();
  }

  private begin(): Worker {
    const thread = new Worker(this.file, { workerData: MARK });
    // A desk that is to end does not wait for it.
    thread.unref();
    thread.on('message', (answer: Answer) => {
      this.waiting.get(answer.id)?.(answer);
      this.waiting.delete(answer.id);
    });
    const gone = (fault: string): void => {
      // A thread that failed ends too, a little later: its questions were told, and the next thread has those that wait.
      if (this.thread !== thread) return;
      this.thread = undefined;
      for (const [id, tell] of this.waiting) tell({ id, fault });
      this.waiting.clear();
    };
    thread.once('error', (error: Error) => gone(error.message));
    thread.once('exit', () => gone('the thread has ended'));
    return thread;
  }
}

async function work({ kind, ask }: Question): Promise<LongAnswers[Kind]> {
  if (kind === 'review') return (await import('./review.ts')).reviewAnswer(ask);
  return (await import('./lived.ts')).livedOf(ask);
}

async function answerTo(question: Question): Promise<Answer> {
  const { id } = question;
  try {
    return { id, answer: await hearing(() => work(question)) };
  } catch (error) {
    if (!(error instanceof Failure))
      return { id, fault: error instanceof Error ? error.message : String(error) };
    const { kind, message, hint } = error;
    return { id, failure: { kind, message, ...(hint === undefined ? {} : { hint }) } };
  }
}

/** In the thread: one question after the other. */
if (!isMainThread && workerData === MARK) {
  let last: Promise<void> = Promise.resolve();
  parentPort?.on('message', (question: Question) => {
    last = last.then(async () => parentPort?.postMessage(await answerTo(question)));
  });
}

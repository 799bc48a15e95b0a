/**
 * Work at a controller as the desk's pages follow it: what a command would
 * print on a terminal, ask there, and show as progress.
 *
 * Always holds: a question that nobody answers ends the work as it does on a
 * terminal that was closed; work that is to stop hears of it while it waits
 * for an answer too.
 */

import { join, sep } from 'node:path';
import { Failure, usage } from '../../failure.ts';
import { type Face, facing, type Halting } from '../../jobs/face.ts';
import { type EndSignal, Halt, Stopped } from '../../jobs/halt.ts';
import type { JobKind, JobLine, JobView } from '../wire.ts';
import { toPress } from './to-press.ts';

/** Lines that are kept; a log that is followed for weeks writes more. */
const LINES_MOST = 400;
/** How long an answer is waited for, ms. A lamp is lit meanwhile; the board itself puts it out after ten minutes. */
const ANSWER_MS = 5 * 60_000;

interface Asking {
  readonly number: number;
  readonly words: string;
  readonly answer: (text: string) => void;
}

/** What work is begun with. */
export interface JobBeginning {
  readonly id: number;
  readonly kind: JobKind;
  readonly port: string;
  readonly plan: string;
  /** The plans' folder: names of its files are told bare. */
  readonly folder: string;
  /** The window that began it. */
  readonly window: string;
  /** Something of it changed. */
  readonly onChange: () => void;
}

/** One piece of work at one port. */
export class Job implements Face {
  readonly beginning: JobBeginning;
  private readonly halt = new Halt();
  private readonly lines: JobLine[] = [];
  private progressNow: JobView['progress'];
  private status: JobView['status'];
  private asking: Asking | undefined;
  private questions = 0;
  private atOnce: () => void = () => undefined;
  private ended: JobView['ended'];
  private failure: Failure | undefined;
  private done: Promise<void> = Promise.resolve();

  constructor(beginning: JobBeginning) {
    this.beginning = beginning;
  }

  get isOver(): boolean {
    return this.ended !== undefined;
  }

  /** It was told to stop. */
  get isToStop(): boolean {
    return this.halt.isCalled;
  }

  /** Runs the work; `end` resolves when it is over. */
  run(work: (job: Job) => Promise<void>): void {
    this.done = facing(this, () => work(this)).then(
      () => this.over(undefined),
      (error: unknown) => this.over(error),
    );
  }

  /** Tells the work to stop, and waits until it is over. Gives what it had to say to that. */
  async end(signal: EndSignal): Promise<Failure | undefined> {
    this.halt.call(signal);
    await this.done;
    return this.failure;
  }

  /** Nothing is waited for any more. */
  endAtOnce(): void {
    if (!this.isOver) this.atOnce();
  }

  view(): JobView {
    const { id, kind, port, plan } = this.beginning;
    const question = this.asking && { number: this.asking.number, words: this.asking.words };
    const { lines, progressNow: progress, status, ended } = this;
    return { id, kind, port, plan, lines, progress, question, status, ended };
  }

  /** Answers a question; one that is no longer asked is left alone. */
  answer(number: number, text: string): void {
    if (this.asking?.number === number) this.asking.answer(text);
  }

  /** What the controller does now. */
  show(status: NonNullable<JobView['status']>): void {
    this.status = status.map(([heading, words]) => [heading, this.bare(words)]);
    this.changed();
  }

  readonly say = (words: string): void => this.line('say', words);
  readonly remark = (words: string): void => this.line('remark', words);
  readonly sayJson = (): void => undefined;
  readonly canAsk = (): boolean => true;
  readonly hasGone = (): boolean => false;
  readonly inColour = (): boolean => false;

  readonly progress = (title: string): ((part: number) => void) => {
    return (part) => {
      this.progressNow = part >= 1 ? undefined : { title, part };
      this.changed();
    };
  };

  readonly halting = (atOnce: () => void): Halting => {
    this.atOnce = atOnce;
    return this.halt;
  };

  readonly ask = async (question: string): Promise<string> => {
    let timer: NodeJS.Timeout | undefined;
    const answered = new Promise<string>((resolve, reject) => {
      this.questions += 1;
      const words = question.replace(/ ?\[y\/n\] ?$/, '');
      this.asking = { number: this.questions, words, answer: resolve };
      timer = setTimeout(() => reject(usage('Stopped: the question was not answered.')), ANSWER_MS);
    });
    this.changed();
    try {
      return await this.halt.during(answered);
    } finally {
      clearTimeout(timer);
      this.asking = undefined;
      this.changed();
    }
  };

  private line(of: JobLine['of'], words: string): void {
    this.lines.push({ of, words: this.bare(words) });
    if (this.lines.length > LINES_MOST) this.lines.splice(0, this.lines.length - LINES_MOST);
    this.changed();
  }

  private over(error: unknown): void {
    this.failure = error instanceof Failure ? error : undefined;
    this.progressNow = undefined;
    const fault = faultWords(error);
    this.ended = { fault: fault && this.bare(fault) };
    this.changed();
  }

  private bare(words: string): string {
    return toPress(words.replaceAll(join(this.beginning.folder, sep), ''));
  }

  private changed(): void {
    this.beginning.onChange();
  }
}

/** A fault in the words of the command line; that it was told to stop is none. */
function faultWords(error: unknown): string | undefined {
  if (error === undefined || error instanceof Stopped) return undefined;
  if (error instanceof Failure) return [error.message, error.hint].filter(Boolean).join('\n');
  return `Something went wrong inside Leanward itself: ${error instanceof Error ? error.message : String(error)}`;
}

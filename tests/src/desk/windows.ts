/**
 * Windows on one plan and their server, with everything between them under way
 * for as long as a test likes: each request arrives when it is told to, each
 * answer, each piece of news. The windows' texts are the page's own
 * (`PlanText`), the server is the desk's own (`PlanFolder`); the editor is
 * CodeMirror's state without the part that draws.
 */

import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { EditorState, type Transaction, type TransactionSpec } from '@codemirror/state';
import { sure } from '../../../shared/assert.ts';
import { type PlanKeeper, PlanText, type TextView } from '../../../src/desk/browser/plan-text.ts';
import { PlanFolder } from '../../../src/desk/server/plans.ts';
import type { DeskNews } from '../../../src/desk/wire.ts';

const NAME = 'rack.plan.yaml';
export const BEGINNING = 'leanward: 1\n';

class Silence extends Error {}

interface Request {
  readonly window: PlanWindow;
  readonly work: () => unknown;
  /** Undefined until it arrived. */
  result: { readonly value: unknown } | { readonly error: unknown } | undefined;
  readonly resolve: (value: unknown) => void;
  readonly reject: (error: unknown) => void;
}

/** One window: an editor and its plan's text. */
export class PlanWindow implements TextView {
  readonly plan: PlanText;
  readonly news: DeskNews[] = [];
  /** An answer was lost, and none came since. */
  isAdrift = false;
  state: EditorState;

  constructor(name: string, folder: PlanFolder, keeper: (own: PlanWindow) => PlanKeeper) {
    this.plan = new PlanText(NAME, name, folder.open(NAME, name), keeper(this));
    this.state = EditorState.create({ doc: this.plan.beginning });
  }

  dispatch(...specs: readonly (Transaction | TransactionSpec | readonly Transaction[])[]): void {
    const transaction = this.state.update(...(specs as TransactionSpec[]));
    this.state = transaction.state;
    this.plan.changed(transaction);
  }

  get text(): string {
    return this.state.doc.toString();
  }
}

export class World {
  readonly folder = mkdtempSync(join(tmpdir(), 'leanward-windows-'));
  readonly path = join(this.folder, NAME);
  readonly windows: PlanWindow[] = [];
  private server: PlanFolder;
  private requests: Request[] = [];

  constructor(windows: number) {
    writeFileSync(this.path, BEGINNING);
    this.server = this.start();
    for (let n = 0; n < windows; n++) {
      const window = new PlanWindow(`window ${n}`, this.server, (own) => this.keeperOf(own));
      this.windows.push(window);
      window.plan.attach(window);
    }
  }

  private start(): PlanFolder {
    return new PlanFolder(this.folder, (news) => {
      for (const { news: waiting } of this.windows) waiting.push(news);
    });
  }

  private keeperOf(window: PlanWindow): PlanKeeper {
    const ask = <T>(work: () => T): Promise<T> =>
      new Promise((resolve, reject) => {
        this.requests.push({
          window,
          work,
          result: undefined,
          resolve: resolve as (value: unknown) => void,
          reject,
        });
      });
    return {
      open: (...args) => ask(() => this.server.open(...args)),
      keep: (...args) => ask(() => this.server.keep(...args)),
      save: (...args) => ask(() => this.server.save(...args)),
      isSilence: (failure) => failure instanceof Silence,
    };
  }

  get isUnsavedKept(): boolean {
    return existsSync(join(this.folder, `.${NAME}.unsaved`));
  }

  get file(): string {
    return readFileSync(this.path, 'utf8');
  }

  get isAdrift(): boolean {
    return this.windows.some(({ isAdrift }) => isAdrift);
  }

  /** One of the requests on their way reaches the server, and fails there before or after it is done; whether there was one. */
  arrive(which: number, fails?: 'before' | 'after'): boolean {
    const waiting = this.requests.filter(({ result }) => result === undefined);
    const one = waiting[which % waiting.length];
    if (!one) return false;
    const fault = { error: new Error('the disk is full') };
    if (fails === 'before') one.result = fault;
    else {
      const value = one.work();
      one.result = fails === 'after' ? fault : { value };
    }
    // In the order of their arrival.
    this.requests = [...this.requests.filter((other) => other !== one), one];
    return true;
  }

  /** One of the answers on their way reaches its window. */
  async answer(which: number): Promise<boolean> {
    const answered = this.requests.filter(({ result }) => result !== undefined);
    const one = answered[which % answered.length];
    if (!one) return false;
    this.requests = this.requests.filter((other) => other !== one);
    const result = sure(one.result);
    one.window.isAdrift = false;
    if ('value' in result) one.resolve(result.value);
    else one.reject(result.error);
    await settle();
    return true;
  }

  /** The oldest news on its way to a window reaches it. */
  async hear(window: PlanWindow): Promise<boolean> {
    const news = window.news.shift();
    if (news) window.plan.hear(news);
    await settle();
    return news !== undefined;
  }

  /** Another program changes the file; the server looks round. */
  changeFile(text: string): void {
    writeFileSync(this.path, text);
    this.server.lookAround();
  }

  /**
   * The server is killed and started again. On one computer answers take no
   * time to speak of: only that of the request done last is lost with it.
   */
  async kill(): Promise<void> {
    while (this.requests.filter(({ result }) => result !== undefined).length > 1) await this.answer(0);
    const lost = this.requests;
    this.requests = [];
    this.server = this.start();
    for (const { window, reject } of lost) {
      window.isAdrift = true;
      reject(new Silence('nobody answers'));
    }
    await settle();
    for (const window of this.windows) {
      window.news.length = 0;
      void window.plan.meet();
    }
    await settle();
  }

  /** Everything on its way arrives. */
  async rest(): Promise<void> {
    await settle();
    for (let isMoving = true; isMoving; ) {
      isMoving = this.arrive(0);
      isMoving = (await this.answer(0)) || isMoving;
      for (const window of this.windows) isMoving = (await this.hear(window)) || isMoving;
    }
  }

  sweep(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** What follows from an answer without waiting has followed. */
const settle = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

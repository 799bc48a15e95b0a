/**
 * The text of the open plan between the editor, the other windows and the
 * disk.
 *
 * Always holds: this window asks the server one thing at a time, in order; what
 * is typed is handed over at once and stays here until it is the plan's; where
 * no answer came the server is asked whether it arrived, so that nothing is
 * handed over twice; what another window typed is worked in beside it.
 */

import { Annotation, ChangeSet, type EditorState, Transaction } from '@codemirror/state';
import type { EditorView } from '@codemirror/view';
import { signal } from '@preact/signals';
import type { DeskNews, HandedText, KeptText, OpenedPlan, Saved, TextCount } from '../wire.ts';
import { type Spelling, shownText, spellingOf, writtenText } from './text-file.ts';

/** Marks a change that came from elsewhere. */
export const fromElsewhere = Annotation.define<boolean>();

/** What stands in the file instead of what it was read as. */
export interface OtherVersion {
  readonly text: string;
  readonly mark: string;
}

/** The server, as the open plan asks it. A request that fails may have arrived or not. */
export interface PlanKeeper {
  open(name: string, window: string): Promise<OpenedPlan>;
  keep(name: string, handed: HandedText): Promise<KeptText>;
  save(name: string, handed: HandedText, over: string): Promise<Saved>;
  /** Whether a failure means that nobody answered, so that it is tried again. */
  isSilence(failure: unknown): boolean;
}

/** As much of the editor as its text needs. */
export type TextView = Pick<EditorView, 'state' | 'dispatch'>;

const RETRY_MS = 1000;

export class PlanText {
  readonly name: string;
  /** Typed and not saved. */
  readonly isUnsaved = signal(false);
  /** Not even kept by the server yet. */
  readonly isUnkept = signal(false);
  /** The file changed underneath. */
  readonly other = signal<OtherVersion | undefined>(undefined);
  readonly fault = signal<string | undefined>(undefined);

  private readonly window: string;
  private readonly keeper: PlanKeeper;
  private view: TextView | undefined;
  private spelling: Spelling;
  private file: OtherVersion;
  /** The server's text of the number `count`, as shown; then what is on its way there; then what was typed since. */
  private shared: string;
  private sent: { readonly text: string; readonly changes: ChangeSet; readonly number: number } | undefined;
  private unsent: ChangeSet | undefined;
  private count: number;
  /** How many texts this window handed over. */
  private handed = 0;
  private turn: Promise<unknown> = Promise.resolve();
  private waits = false;
  private retry: ReturnType<typeof setTimeout> | undefined;

  constructor(name: string, window: string, opened: OpenedPlan, keeper: PlanKeeper) {
    this.name = name;
    this.window = window;
    this.keeper = keeper;
    this.spelling = spellingOf(opened.text);
    const { text, mark, unsaved, count } = opened;
    this.file = { text: shownText(text), mark: unsaved?.base ?? mark };
    this.shared = shownText(unsaved?.text ?? text);
    this.count = count;
    this.isUnsaved.value = this.shared !== this.file.text;
    if (this.isUnsaved.value && this.file.mark !== mark) this.other.value = { text: this.file.text, mark };
  }

  /** What the editor begins with. */
  get beginning(): string {
    return this.shared;
  }

  /** What was told before there was an editor is asked for. */
  attach(view: TextView): void {
    this.view = view;
    void this.meet();
  }

  /** The editor's text changed. */
  changed(transaction: Transaction): void {
    if (!transaction.docChanged || transaction.annotation(fromElsewhere)) return;
    this.unsent = this.unsent ? this.unsent.compose(transaction.changes) : transaction.changes;
    this.judge(transaction.state);
    this.handLater();
  }

  private judge(state: EditorState): void {
    const text = state.doc.toString();
    if (text === this.other.value?.text) {
      this.file = this.other.value;
      this.other.value = undefined;
    }
    this.isUnsaved.value = text !== this.file.text;
    this.isUnkept.value = this.sent !== undefined || this.unsent !== undefined;
  }

  /** Does something with the server when all before it is done; undefined where it failed. */
  private inTurn<T>(work: (view: TextView) => Promise<T>): Promise<T | undefined> {
    const done = this.turn.then(async () => {
      const { view } = this;
      if (!view) return undefined;
      try {
        const result = await work(view);
        this.fault.value = undefined;
        return result;
      } catch (error) {
        this.failed(error);
        return undefined;
      } finally {
        this.judge(view.state);
      }
    });
    this.turn = done;
    return done;
  }

  private failed(error: unknown): void {
    this.fault.value = error instanceof Error ? error.message : String(error);
    if (!this.keeper.isSilence(error)) return;
    clearTimeout(this.retry);
    this.retry = setTimeout(() => void this.meet(), RETRY_MS);
  }

  /** Hands over what was typed by then, once. */
  private handLater(): void {
    if (this.waits) return;
    this.waits = true;
    void this.inTurn(async (view) => {
      this.waits = false;
      await this.settle();
      if (!this.unsent) return;
      this.learn(await this.keeper.keep(this.name, this.hand(view)));
      if (this.unsent) this.handLater();
    });
  }

  /** What was sent without an answer: did it arrive? */
  private async settle(): Promise<void> {
    if (this.sent) this.take(await this.keeper.open(this.name, this.window));
  }

  /** The text as it is, to be sent. */
  private hand(view: TextView): HandedText {
    const text = view.state.doc.toString();
    this.handed += 1;
    const changes = this.unsent ?? ChangeSet.empty(text.length);
    this.sent = { text, changes, number: this.handed };
    this.unsent = undefined;
    const { count, window, handed } = this;
    return { text: writtenText(text, this.spelling), count, window, number: handed };
  }

  /** The server told how far its text is; its `text` where it may be another than was sent. */
  private learn({ count, yours, text }: TextCount & { readonly text?: string }): void {
    const { sent } = this;
    const theirs = text === undefined ? undefined : shownText(text);
    this.sent = undefined;
    if (sent && (yours >= sent.number || theirs === sent.text)) this.shared = sent.text;
    else if (sent) this.unsent = this.unsent ? sent.changes.compose(this.unsent) : sent.changes;
    if (this.unsent?.empty) this.unsent = undefined;
    if (theirs !== undefined) this.workIn(theirs);
    this.count = count;
  }

  /** Works a text of the server's into the editor, beside what was typed here. */
  private workIn(text: string): void {
    const { view, unsent: ours } = this;
    if (!view || text === this.shared) return;
    const theirs = difference(this.shared, text);
    this.shared = text;
    this.unsent = ours?.map(theirs, true);
    view.dispatch({
      changes: ours ? theirs.map(ours) : theirs,
      annotations: [fromElsewhere.of(true), Transaction.addToHistory.of(false)],
    });
  }

  /** The plan as the server has it. */
  private take(opened: OpenedPlan): void {
    const { text, mark, unsaved, count, yours } = opened;
    this.learn({ count, yours, text: unsaved?.text ?? text });
    if (unsaved && unsaved.base !== mark) {
      if (mark !== this.file.mark) this.other.value = { text: shownText(text), mark };
      return;
    }
    if (mark !== this.file.mark) this.spelling = spellingOf(text);
    this.file = { text: shownText(text), mark };
    this.other.value = undefined;
  }

  /** The server came back, or may know more than this window. */
  async meet(): Promise<void> {
    await this.inTurn(async () => this.take(await this.keeper.open(this.name, this.window)));
    if (this.unsent && !this.fault.value) this.handLater();
  }

  /** Mark of the file that this text began from. */
  get mark(): string {
    return this.file.mark;
  }

  /** Something was told by the server. */
  hear(told: DeskNews): void {
    if (!('name' in told) || told.name !== this.name) return;
    if (told.kind === 'file') {
      if (told.mark !== this.file.mark) void this.meet();
    } else if (told.kind === 'unsaved' && told.window !== this.window)
      void this.inTurn(async () => {
        await this.settle();
        // What is told may be older than what an answer brought meanwhile.
        if (told.count <= this.count) return;
        this.workIn(shownText(told.text));
        this.count = told.count;
      });
  }

  /** Writes the file; whether it is written. */
  async save(): Promise<boolean> {
    const saved = await this.inTurn(async (view) => {
      for (;;) {
        await this.settle();
        const text = view.state.doc.toString();
        const answer = await this.keeper.save(this.name, this.hand(view), this.file.mark);
        this.learn(answer);
        if (!answer.follows) continue;
        if (answer.saved) this.file = { text, mark: answer.mark };
        this.other.value = answer.saved
          ? undefined
          : { text: shownText(answer.file.text), mark: answer.file.mark };
        return answer.saved;
      }
    });
    if (this.unsent) this.handLater();
    return saved ?? false;
  }

  /** Of two versions: what is typed here is to be written over the file's. */
  async keepOwn(): Promise<void> {
    const { other } = this;
    if (!other.value) return;
    this.file = other.value;
    other.value = undefined;
    await this.save();
  }

  /** Of two versions: the file's; what was typed here can be had back by undoing. */
  takeOther(): void {
    const { view, other } = this;
    if (!other.value || !view) return;
    this.file = other.value;
    other.value = undefined;
    const changes = difference(view.state.doc.toString(), this.file.text);
    view.dispatch({ changes, userEvent: 'input' });
  }
}

/** One change that turns a text into another. */
function difference(from: string, to: string): ChangeSet {
  let start = 0;
  const shorter = Math.min(from.length, to.length);
  while (start < shorter && from[start] === to[start]) start++;
  let end = 0;
  while (end < shorter - start && from[from.length - 1 - end] === to[to.length - 1 - end]) end++;
  const insert = to.slice(start, to.length - end);
  return ChangeSet.of({ from: start, to: from.length - end, insert }, from.length);
}

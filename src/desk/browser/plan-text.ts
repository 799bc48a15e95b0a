/**
 * The text of the open plan between the editor, the other windows and the
 * disk.
 *
 * Always holds: what is typed is handed to the server at once, one text at a
 * time, and stays here until it is kept; what another window typed is worked
 * in beside it; the file is written only over the bytes it was read from.
 */

import { Annotation, ChangeSet, type EditorState, Transaction } from '@codemirror/state';
import type { EditorView } from '@codemirror/view';
import { signal } from '@preact/signals';
import type { DeskNews, OpenedPlan } from '../wire.ts';
import { askPlan, keepText, Refused, Silent, savePlan } from './api.ts';
import { type Spelling, shownText, spellingOf, writtenText } from './text-file.ts';

/** Marks a change that came from elsewhere. */
export const fromElsewhere = Annotation.define<boolean>();

/** What stands in the file instead of what it was read as. */
export interface OtherVersion {
  readonly text: string;
  readonly mark: string;
}

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
  private view: EditorView | undefined;
  private spelling: Spelling;
  private file: { text: string; mark: string };
  /** The text the server has, as shown; what is under way to it; what was typed since. */
  private shared: string;
  private sent: { readonly text: string; readonly changes: ChangeSet } | undefined;
  private unsent: ChangeSet | undefined;
  private count: number;
  private retry: ReturnType<typeof setTimeout> | undefined;

  constructor(name: string, window: string, opened: OpenedPlan) {
    this.name = name;
    this.window = window;
    this.spelling = spellingOf(opened.text);
    this.file = { text: shownText(opened.text), mark: opened.mark };
    this.shared = shownText(opened.unsaved?.text ?? opened.text);
    this.count = opened.count;
    this.isUnsaved.value = this.shared !== this.file.text;
    if (opened.unsaved && opened.unsaved.base !== opened.mark && this.isUnsaved.value)
      this.other.value = { text: this.file.text, mark: opened.mark };
  }

  /** What the editor begins with. */
  get beginning(): string {
    return this.shared;
  }

  attach(view: EditorView): void {
    this.view = view;
  }

  /** The editor's text changed. */
  changed(transaction: Transaction): void {
    if (!transaction.docChanged || transaction.annotation(fromElsewhere)) return;
    this.unsent = this.unsent ? this.unsent.compose(transaction.changes) : transaction.changes;
    this.judge(transaction.state);
    void this.hand();
  }

  private judge(state: EditorState): void {
    this.isUnsaved.value = state.doc.toString() !== this.file.text;
    this.isUnkept.value = this.sent !== undefined || this.unsent !== undefined;
  }

  /** Hands over what was typed, unless something is under way. */
  private async hand(): Promise<void> {
    const { view, unsent } = this;
    if (!view || !unsent || this.sent) return;
    const text = view.state.doc.toString();
    this.sent = { text, changes: unsent };
    this.unsent = undefined;
    try {
      const written = writtenText(text, this.spelling);
      const answer = await keepText(this.name, written, this.file.mark, this.count, this.window);
      if (answer.kept) this.shared = text;
      else this.takeBack();
      this.sent = undefined;
      if (!answer.kept) this.workIn(shownText(answer.text));
      this.count = answer.count;
      this.fault.value = undefined;
    } catch (error) {
      this.takeBack();
      this.sent = undefined;
      this.failed(error);
      this.judge(view.state);
      return;
    }
    this.judge(view.state);
    void this.hand();
  }

  /** What was under way counts as not handed over. */
  private takeBack(): void {
    if (!this.sent) return;
    this.unsent = this.unsent ? this.sent.changes.compose(this.unsent) : this.sent.changes;
  }

  private failed(error: unknown): void {
    this.fault.value = error instanceof Error ? error.message : String(error);
    if (!(error instanceof Silent)) return;
    clearTimeout(this.retry);
    this.retry = setTimeout(() => void this.meet(), RETRY_MS);
  }

  /** Works a text of the server's into the editor, beside what was typed here. */
  private workIn(text: string): void {
    const { view } = this;
    if (!view || text === this.shared) return;
    const theirs = difference(this.shared, text);
    const ours = this.unsent;
    view.dispatch({
      changes: ours ? theirs.map(ours) : theirs,
      annotations: [fromElsewhere.of(true), Transaction.addToHistory.of(false)],
    });
    this.unsent = ours?.map(theirs, true);
    this.shared = text;
    this.judge(view.state);
  }

  /** The server came back, or may know more than this window. */
  async meet(): Promise<void> {
    try {
      const opened = await askPlan(this.name);
      if (this.sent) return;
      const text = shownText(opened.unsaved?.text ?? opened.text);
      // It may have kept what it could no more say it kept.
      if (this.view && text === this.view.state.doc.toString()) {
        this.shared = text;
        this.unsent = undefined;
      } else if (opened.unsaved || this.shared === this.file.text) this.workIn(text);
      this.count = opened.count;
      this.fault.value = undefined;
      this.takeFile(opened.text, opened.mark);
      if (this.view) this.judge(this.view.state);
      void this.hand();
    } catch (error) {
      this.failed(error);
    }
  }

  /** Mark of the file that this text began from. */
  get mark(): string {
    return this.file.mark;
  }

  /** Something was told by the server. */
  hear(told: DeskNews): void {
    if (!('name' in told) || told.name !== this.name) return;
    if (told.kind === 'unsaved') {
      // While something is under way, its answer brings this text.
      if (told.window === this.window || this.sent) return;
      this.count = told.count;
      this.workIn(shownText(told.text));
      void this.hand();
    } else if (told.mark !== this.file.mark) void this.meet();
  }

  /** The file has other bytes than those read here. */
  private takeFile(written: string, mark: string): void {
    if (mark === this.file.mark) return;
    const text = shownText(written);
    const here = this.view?.state.doc.toString() ?? this.shared;
    const wasClean = here === this.file.text;
    if (wasClean || here === text) {
      this.spelling = spellingOf(written);
      this.file = { text, mark };
      this.other.value = undefined;
      if (here !== text) this.replaceAll(text);
    } else this.other.value = { text, mark };
  }

  private replaceAll(text: string): void {
    const { view } = this;
    if (!view) return;
    view.dispatch({ changes: difference(view.state.doc.toString(), text), userEvent: 'input' });
  }

  /** Writes the file; whether it is written. */
  async save(): Promise<boolean> {
    const { view } = this;
    if (!view) return false;
    const text = view.state.doc.toString();
    try {
      const answer = await savePlan(this.name, writtenText(text, this.spelling), this.file.mark);
      this.fault.value = undefined;
      if (!answer.saved) {
        this.other.value = { text: shownText(answer.text), mark: answer.mark };
        return false;
      }
      this.file = { text, mark: answer.mark };
      this.other.value = undefined;
      if (!this.sent) this.count = Math.max(this.count, answer.count);
      this.judge(view.state);
      return true;
    } catch (error) {
      this.fault.value = error instanceof Refused || error instanceof Silent ? error.message : String(error);
      return false;
    }
  }

  /** Of two versions: what is typed here is to be written over the file's. */
  async keepOwn(): Promise<void> {
    const { other } = this;
    if (!other.value) return;
    this.file = { ...other.value };
    other.value = undefined;
    await this.save();
  }

  /** Of two versions: the file's; what was typed here can be had back by undoing. */
  takeOther(): void {
    const { other } = this;
    if (!other.value) return;
    const { text, mark } = other.value;
    this.file = { text, mark };
    other.value = undefined;
    this.replaceAll(text);
    if (this.view) this.judge(this.view.state);
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

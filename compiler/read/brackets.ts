/**
 * Brackets left open: found by how plans are laid out (a line that starts a
 * key no further in than the line of the bracket cannot belong inside it).
 */

import type { Report } from '../findings/collector.ts';
import type { Edit } from './edits.ts';

/** Deepest nesting of brackets a plan can need is 5. */
const DEPTH_MAX = 40;

/** What stands before a value: a key or a dash, and perhaps a `&` mark or a tag. */
const START_OF_VALUE = /(?:^|[:?-]\s)\s*(?:[&!]\S*\s+)*$/;

/** How far back the start of a value is looked for. */
const LOOK_BACK = 200;

interface Open {
  readonly at: number;
  readonly bracket: '{' | '[';
  /** Indentation of the line it opens on. */
  readonly indent: number;
}

export interface BracketSlips {
  readonly edits: readonly Edit[];
  /** False when brackets nest too deep (reported). */
  readonly sane: boolean;
}

/** Reports brackets that are never closed or never opened, with the edits that put them right. `mask` is the text's syntax mask. */
export function findBracketSlips(text: string, mask: Uint8Array, report: Report): BracketSlips {
  const finder = new BracketFinder(text, mask, report);
  finder.run();
  return { edits: finder.edits, sane: finder.sane };
}

class BracketFinder {
  readonly edits: Edit[] = [];
  sane = true;
  private readonly stack: Open[] = [];
  private readonly text: string;
  private readonly report: Report;
  private readonly mask: Uint8Array;
  private indent = 0;
  private lineStart = 0;
  /** End of the last syntax character that is no space. */
  private lastEnd = 0;

  constructor(text: string, mask: Uint8Array, report: Report) {
    this.text = text;
    this.report = report;
    this.mask = mask;
  }

  run(): void {
    for (let at = 0; at < this.text.length && this.sane; at++) {
      if (at === 0 || this.text[at - 1] === '\n') this.line(at);
      if (this.mask[at] !== 1) this.skipped(at);
      else this.character(at, this.text.charAt(at));
    }
    if (this.sane) this.closeAll();
  }

  /** Quoted text counts as content; a comment does not. */
  private skipped(at: number): void {
    const before = this.text[this.lastEnd - 1];
    if (before === '"' || before === "'") this.lastEnd = at + 1;
  }

  private line(at: number): void {
    this.lineStart = at;
    const end = this.text.indexOf('\n', at);
    const line = this.text.slice(at, end < 0 ? undefined : end);
    if (line.trim() === '' || /^\s*#/.test(line)) return;
    this.indent = line.length - line.trimStart().length;
    const open = this.stack[0];
    if (open && this.indent <= open.indent && /^\s*(?:- |[^\s,[\]{}#"']+:(?:\s|$))/.test(line))
      this.closeAll();
  }

  private character(at: number, character: string): void {
    switch (character) {
      case ' ':
      case '\n':
      case '\r':
      case '\t':
        return;
      case '{':
      case '[':
        this.open(at, character);
        break;
      case '}':
      case ']':
        this.close(at, character);
        break;
      case ',':
        if (this.stack.at(-1)?.bracket === '[') this.comma(at);
    }
    this.lastEnd = at + 1;
  }

  private open(at: number, bracket: '{' | '['): void {
    if (this.stack.length === 0 && !this.startsValue(at)) return;
    this.stack.push({ at, bracket, indent: this.indent });
    if (this.stack.length <= DEPTH_MAX) return;
    this.report('text-too-deep', { start: at, end: at + 1 }, { limit: DEPTH_MAX });
    this.sane = false;
  }

  private startsValue(at: number): boolean {
    const from = Math.max(this.lineStart, at - LOOK_BACK);
    return START_OF_VALUE.test(this.text.slice(from, at));
  }

  private close(at: number, bracket: '}' | ']'): void {
    const wanted = bracket === '}' ? '{' : '[';
    if (this.stack.length === 0) {
      if (/[}\]]/.test(this.text[this.lastEnd - 1] ?? '')) this.stray(at, bracket);
      return;
    }
    if (!this.stack.some((open) => open.bracket === wanted)) {
      this.stray(at, bracket);
      return;
    }
    while (this.stack.at(-1)?.bracket !== wanted) this.unclosed(this.lastEnd);
    this.stack.pop();
  }

  /** `[10 mm, 20 mm, to: …`: a key inside a list means the list should have ended. */
  private comma(at: number): void {
    const inBraces = this.stack.some((open) => open.bracket === '{');
    if (inBraces && /^,\s*[A-Za-z][\w-]*:\s/.test(this.text.slice(at, at + 60))) this.unclosed(at);
  }

  private stray(at: number, bracket: string): void {
    this.report('text-bracket-too-many', { start: at, end: at + 1 }, { bracket });
    this.edits.push({ at, remove: 1, text: ' ' });
  }

  private unclosed(at: number): void {
    const open = this.stack.pop();
    if (!open) return;
    const closing = open.bracket === '{' ? '}' : ']';
    this.report('text-left-open', { start: open.at, end: open.at + 1 }, { bracket: open.bracket, closing });
    this.edits.push({ at, remove: 0, text: closing });
  }

  private closeAll(): void {
    while (this.stack.length > 0) this.unclosed(this.lastEnd);
  }
}

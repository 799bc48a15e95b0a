/**
 * Slips of typing that YAML answers with riddles: tabs, characters that cannot
 * be seen, curly quotes, a missing space after a colon, a bracket left open.
 *
 * Always holds: each slip is reported at its place in the original text and
 * put right, so that the rest of the plan can still be read.
 */

import { sure } from '../../shared/assert.ts';
import type { Report } from '../findings/collector.ts';
import type { Span } from '../findings/finding.ts';
import { findBracketSlips } from './brackets.ts';
import { applyEdits, type Edit, type Edited } from './edits.ts';
import { syntaxMask } from './lines.ts';

/** The text put right, and where slips were found in the original. */
export interface Healed extends Edited {
  readonly slips: readonly Span[];
  /** False when something nests deeper than any plan needs (reported). */
  readonly sane: boolean;
}

/** Reports and repairs all slips of a text. */
export function healSlips(original: string, report: Report): Healed {
  const nested = nestedLine(original);
  if (nested !== undefined) {
    report('text-too-deep', { start: nested, end: nested + 1 }, {});
    return { text: original, toOriginal: (offset) => offset, slips: [], sane: false };
  }
  const slips: Span[] = [];
  const note: Report = (code, span, facts, second) => {
    slips.push(span);
    report(code, span, facts, second);
  };
  const mask = syntaxMask(original);
  const first = applyEdits(original, [
    ...tabs(original, note),
    ...invisible(original, mask, note),
    ...curlyQuotes(original, mask, note),
  ]);
  const back = ({ start, end }: Span): Span => ({
    start: first.toOriginal(start),
    end: first.toOriginal(end),
  });
  const noteFirst: Report = (code, span, facts) => note(code, back(span), facts);
  const firstMask = first.text === original ? mask : syntaxMask(first.text);
  const second = applyEdits(first.text, [
    ...missingSpaces(first.text, firstMask, noteFirst),
    ...commasInNumbers(first.text, firstMask, noteFirst),
    ...missingCommas(first.text, firstMask, noteFirst),
  ]);
  const backTwice = (offset: number) => first.toOriginal(second.toOriginal(offset));
  const noteSecond: Report = (code, span, facts) =>
    note(code, { start: backTwice(span.start), end: backTwice(span.end) }, facts);
  const secondMask = second.text === first.text ? firstMask : syntaxMask(second.text);
  const brackets = findBracketSlips(second.text, secondMask, noteSecond);
  const third = applyEdits(second.text, brackets.edits);
  return {
    text: third.text,
    toOriginal: (offset) => backTwice(third.toOriginal(offset)),
    slips,
    sane: brackets.sane,
  };
}

/** A line that opens list within list within list, far beyond any plan. */
function nestedLine(text: string): number | undefined {
  return /^[ \t]*(?:[-?:][ \t]+){40}/m.exec(text)?.index;
}

/** Most slips of one kind put right; a text with more is no plan. */
const SLIPS_MAX = 100;

/** Tabs in front of a line, told once. */
function tabs(text: string, report: Report): Edit[] {
  const edits: Edit[] = [];
  const unit = indentUnit(text);
  for (const match of text.matchAll(/^[ \t]*\t[ \t]*(?=\S)/gm)) {
    const width = [...match[0]].reduce((sum, character) => sum + (character === '\t' ? unit : 1), 0);
    edits.push({ at: match.index, remove: match[0].length, text: ' '.repeat(width) });
  }
  const at = edits[0] ? text.indexOf('\t', edits[0].at) : 0;
  if (edits.length > 0) report('text-tab', { start: at, end: at + 1 }, { lines: edits.length });
  return edits;
}

/** Spaces a level of this text is indented by. */
function indentUnit(text: string): number {
  const widths = [...text.matchAll(/^( +)(?=\S)/gm)].map((match) => match[0].length);
  return widths.length > 0 ? Math.min(...widths.slice(0, 1000)) : 2;
}

const SPACES = /[\u00a0\u1680\u2000-\u200d\u202f\u205f\u2060\u3000\ufeff]/;
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
const CONTROLS = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u2028\u2029]/;

/** Characters that look like a space or like nothing, told once a kind. */
function invisible(text: string, mask: Uint8Array, report: Report): Edit[] {
  const edits: Edit[] = [];
  const first = new Map<string, number>();
  const pattern = new RegExp(`${SPACES.source}|${CONTROLS.source}`, 'g');
  for (const match of text.matchAll(pattern)) {
    if (mask[match.index] !== 1) continue;
    edits.push({ at: match.index, remove: 1, text: ' ' });
    if (!first.has(match[0])) first.set(match[0], match.index);
  }
  for (const [character, at] of [...first].slice(0, 4)) {
    const code = sure(character.codePointAt(0)).toString(16).toUpperCase().padStart(4, '0');
    report(
      'text-unseen-character',
      { start: at, end: at + 1 },
      { character: `U+${code}`, space: SPACES.test(character) },
    );
  }
  return edits;
}

const CURLY = '\u2018\u2019\u201a\u201b\u201c\u201d\u201e\u201f\u00ab\u00bb';

/** Curly quotes around a value. */
function curlyQuotes(text: string, mask: Uint8Array, report: Report): Edit[] {
  const edits: Edit[] = [];
  const quoted = `[${CURLY}]([^${CURLY}\\n]*)[${CURLY}](?=\\s*(?:[,:\\]}#]|$))`;
  for (const match of text.matchAll(new RegExp(`((?:^|[:,[{-])[ \\t]*)${quoted}`, 'gm'))) {
    if (edits.length >= SLIPS_MAX) break;
    const start = match.index + sure(match[1]).length;
    const end = match.index + match[0].length;
    if (mask[start] !== 1) continue;
    edits.push({ at: start, remove: 1, text: '"' }, { at: end - 1, remove: 1, text: '"' });
    report('text-curly-quotes', { start, end }, { inner: sure(match[2]) });
  }
  return edits;
}

/** `flux:350 lm`: no space after the colon of a key. */
function missingSpaces(text: string, mask: Uint8Array, report: Report): Edit[] {
  const edits: Edit[] = [];
  for (const match of text.matchAll(/(^ *(?:- +)*|[{,]\s*)([A-Za-z][\w-]*):(?=[^\s:/,}\]])/gm)) {
    if (edits.length >= SLIPS_MAX) break;
    const [whole, before = '', key = ''] = match;
    const start = match.index + before.length;
    const end = match.index + whole.length;
    const atLineStart = !/^[{,]/.test(before);
    if (mask[start] !== 1 || (!atLineStart && !inBraces(text, mask, start))) continue;
    edits.push({ at: end, remove: 0, text: ' ' });
    report('text-space-missing', { start, end }, { key });
  }
  return edits;
}

/** `{ fill: 2,5 kg }`: in braces the comma would end the value. */
function commasInNumbers(text: string, mask: Uint8Array, report: Report): Edit[] {
  const edits: Edit[] = [];
  for (const match of text.matchAll(/(?<=:\s)(\d+),(\d+)(\s*[A-Za-z%°][^,{}[\]\n]*)/g)) {
    if (edits.length >= SLIPS_MAX) break;
    if (mask[match.index] !== 1 || !inBraces(text, mask, match.index)) continue;
    const [, before = '', after = '', rest = ''] = match;
    const repaired = `${before}${after.length === 3 ? '' : '.'}${after}${rest.trimEnd()}`;
    edits.push({ at: match.index, remove: match[0].trimEnd().length, text: repaired });
    report(
      'text-comma-in-number',
      { start: match.index, end: match.index + match[0].trimEnd().length },
      { repaired },
    );
  }
  return edits;
}

/** `{ beside: A side: front }`: no comma between two entries. */
function missingCommas(text: string, mask: Uint8Array, report: Report): Edit[] {
  const edits: Edit[] = [];
  for (const match of text.matchAll(/([^\s,{[:])[ \t]+([A-Za-z][\w-]*):[ \t]/g)) {
    if (edits.length >= SLIPS_MAX) break;
    const [whole, , key = ''] = match;
    const start = match.index + whole.length - key.length - 2;
    const before = segmentBefore(text, mask, start);
    if (mask[start] !== 1 || before === undefined || !/:\s/.test(before)) continue;
    edits.push({ at: match.index + 1, remove: 0, text: ',' });
    report('text-comma-missing', { start, end: start + key.length }, { key });
  }
  return edits;
}

/** How far back a brace is looked for. */
const LOOK_BACK = 600;

/** The innermost bracket open at a place is a brace. */
function inBraces(text: string, mask: Uint8Array, at: number): boolean {
  return segmentBefore(text, mask, at) !== undefined;
}

/** Where a place is in braces: what stands between it and the brace or comma before it. */
function segmentBefore(text: string, mask: Uint8Array, at: number): string | undefined {
  let depth = 0;
  let comma: number | undefined;
  for (let i = at - 1; i >= Math.max(0, at - LOOK_BACK); i--) {
    if (mask[i] !== 1) continue;
    const character = text[i];
    if (character === '}' || character === ']') depth += 1;
    else if (character === ',' && depth === 0) comma ??= i;
    else if (character === '{' || character === '[') {
      if (depth === 0) return character === '{' ? text.slice((comma ?? i) + 1, at) : undefined;
      depth -= 1;
    }
  }
  return undefined;
}

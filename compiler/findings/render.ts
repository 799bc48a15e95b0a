/**
 * A finding as the grower reads it: where, the line with a caret, what is
 * wrong, what to write instead.
 *
 * Always holds: plain text unless colour is asked for; every line of a file
 * can be shown, however long or strange.
 */

import type { Units } from '../../shared/measures.ts';
import type { Severity } from './codes.ts';
import type { Finding, Span } from './finding.ts';
import { harmless } from './harmless.ts';
import { wordsOf } from './words.ts';

export interface RenderOptions {
  /** The file's name as the grower gave it. */
  readonly file: string;
  /** The text that spans count in. */
  readonly text: string;
  /** The units the plan is written in. */
  readonly units: Units;
  /** Mark severity and carets with terminal colours. */
  readonly colour?: boolean;
  /** Without the lines of the file. */
  readonly brief?: boolean;
}

/** Line and column of an offset, both from 1; columns count characters. */
export function locate(text: string, offset: number): { line: number; column: number } {
  let line = 1;
  let lineStart = 0;
  for (let at = text.indexOf('\n'); at >= 0 && at < offset; at = text.indexOf('\n', at + 1)) {
    line += 1;
    lineStart = at + 1;
  }
  return { line, column: characterCount(text, lineStart, offset) + 1 };
}

/** Characters between two offsets; a surrogate pair is one. */
function characterCount(text: string, from: number, to: number): number {
  let count = 0;
  for (let i = from; i < Math.min(to, text.length); i++) {
    const unit = text.charCodeAt(i);
    if (unit < 0xdc00 || unit > 0xdfff) count += 1;
  }
  return count;
}

/** One finding, as several lines without a final newline. */
export function renderFinding(finding: Finding, options: RenderOptions): string {
  const { file, text, units, brief = false } = options;
  const words = wordsOf(finding, units);
  const paint = painter(options.colour ?? false, finding.severity);
  const nowhere = finding.span.end === 0;
  const { line, column } = locate(text, finding.span.start);
  const place = nowhere ? file : `${file}:${line}:${column}`;
  const parts = [`${place}: ${paint(`${finding.severity} ${finding.code}`)}: ${words.title}`];
  if (!nowhere && !brief) parts.push(excerpt(text, finding.span, paint));
  parts.push(harmless(words.message));
  if (words.suggestion !== undefined) parts.push(harmless(words.suggestion));
  if (finding.second && !brief) {
    const at = locate(text, finding.second.start);
    parts.push(`${file}:${at.line}:${at.column}: ${words.second ?? 'see also'}`);
    parts.push(excerpt(text, finding.second, paint));
  }
  return parts.join('\n');
}

/** All findings, with a blank line between them, and a count at the end. */
export function renderFindings(findings: readonly Finding[], options: RenderOptions): string {
  const blocks = findings.map((finding) => renderFinding(finding, options));
  return [...blocks, summary(findings)].join('\n\n');
}

function summary(findings: readonly Finding[]): string {
  const counts = (['error', 'warning', 'note'] as const)
    .map((severity) => ({ severity, count: findings.filter((one) => one.severity === severity).length }))
    .filter(({ count }) => count > 0);
  if (counts.length === 0) return 'No findings.';
  return `${counts.map(({ severity, count }) => `${count} ${severity}${count === 1 ? '' : 's'}`).join(', ')}.`;
}

type Paint = (text: string) => string;

const COLOURS: Readonly<Record<Severity, string>> = { error: '31', warning: '33', note: '36' };

function painter(colour: boolean, severity: Severity): Paint {
  return colour ? (text) => `\u001b[1;${COLOURS[severity]}m${text}\u001b[0m` : (text) => text;
}

/** Widest excerpt; a longer line is cut around the place. */
const WIDTH = 96;
/** Characters shown before the place when a line is cut. */
const LEAD = 32;

function excerpt(text: string, span: Span, paint: Paint): string {
  const lineStart = text.lastIndexOf('\n', span.start - 1) + 1;
  const found = text.indexOf('\n', span.start);
  const lineEnd = found < 0 ? text.length : found;
  const markEnd = Math.min(Math.max(span.end, span.start + 1), lineEnd);
  const cut = lineEnd - lineStart > WIDTH && span.start - lineStart > LEAD;
  const lead = cut
    ? ['…', ...[...text.slice(Math.max(lineStart, span.start - 2 * LEAD), span.start)].slice(-LEAD)]
    : [...text.slice(lineStart, span.start)];
  const marked = [...text.slice(span.start, Math.min(markEnd, span.start + 2 * WIDTH))];
  const shown = [...lead, ...marked, ...text.slice(markEnd, Math.min(lineEnd, markEnd + 2 * WIDTH))];
  const body = shown.length > WIDTH ? [...shown.slice(0, WIDTH), '…'] : shown;
  const width = marked.join('').trimEnd().length;
  const carets = '^'.repeat(Math.max(1, Math.min(width, WIDTH - lead.length)));
  const number = String(locate(text, span.start).line).padStart(5);
  return [
    `${number} | ${printable(body)}`.trimEnd(),
    `${' '.repeat(number.length)} | ${' '.repeat(lead.length)}${paint(carets)}`,
  ].join('\n');
}

/** One visible cell a character, so that the caret stands under its place. */
function printable(characters: readonly string[]): string {
  return characters.map((one) => one.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/u, ' ')).join('');
}

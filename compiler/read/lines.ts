/**
 * Which characters of a YAML text are syntax: neither inside quotes, nor in a
 * comment, nor in the lines of a block of text (`|` or `>`).
 *
 * Always holds: the answer has one entry a character; a quote that is not
 * closed on its line hides nothing.
 */

import { sure } from '../../shared/assert.ts';

/** 1 where a character is syntax. */
export function syntaxMask(text: string): Uint8Array {
  const mask = new Uint8Array(text.length).fill(1);
  let start = 0;
  let blockIndent: number | undefined;
  while (start < text.length) {
    const found = text.indexOf('\n', start);
    const end = found < 0 ? text.length : found;
    const line = text.slice(start, end);
    const indent = line.length - line.trimStart().length;
    if (blockIndent !== undefined && line.trim() !== '' && indent <= blockIndent) blockIndent = undefined;
    if (blockIndent !== undefined) mask.fill(0, start, end);
    else {
      maskLine(line, start, mask);
      if (/[:-]\s+(?:[&!]\S*\s+)*[|>][-+\d]*\s*(#.*)?$/.test(line)) blockIndent = indent;
    }
    start = end + 1;
  }
  return mask;
}

/** Hides quoted text and a comment of one line. */
function maskLine(line: string, start: number, mask: Uint8Array): void {
  if (!/[#"']/.test(line)) return;
  let fresh = true;
  for (let i = 0; i < line.length; i++) {
    const character = line.charAt(i);
    if (character === '#' && (i === 0 || /\s/.test(line.charAt(i - 1)))) {
      mask.fill(0, start + i, start + line.length);
      return;
    }
    // A `&` mark or a tag stands before the value it belongs to.
    if (fresh && /[&!]/.test(character)) {
      while (/\S/.test(line.charAt(i + 1))) i++;
    } else if (fresh && (character === '"' || character === "'")) {
      const close = closingQuote(line, i);
      if (close > 0) mask.fill(0, start + i + 1, start + close);
      i = close > 0 ? close : i;
      fresh = false;
    } else fresh = startsValue(line, i, fresh);
  }
}

/** The first quote that begins a value and is not closed on its line. */
export function openQuote(text: string): number | undefined {
  const mask = syntaxMask(text);
  for (const match of text.matchAll(/((?:^|[:-] |[,[{]) *(?:[&!]\S* +)*)["']/gm)) {
    const at = match.index + sure(match[1]).length;
    const end = text.indexOf('\n', at);
    const line = text.slice(at, end < 0 ? text.length : end);
    if (mask[at] === 1 && closingQuote(line, 0) < 0) return at;
  }
  return undefined;
}

/** True when the next character would be the first of a value. */
function startsValue(line: string, i: number, fresh: boolean): boolean {
  const character = line.charAt(i);
  if (/\s/.test(character)) return fresh || /[:-]/.test(line.charAt(i - 1));
  return /[,[{]/.test(character);
}

function closingQuote(line: string, open: number): number {
  const quote = line[open];
  for (let i = open + 1; i < line.length; i++) {
    if (quote === '"' && line[i] === '\\') i += 1;
    else if (line[i] === quote) {
      if (quote === "'" && line[i + 1] === "'") i += 1;
      else return i;
    }
  }
  return -1;
}

/** Line number of an offset, from 0. */
export function lineOf(text: string, offset: number): number {
  let line = 0;
  for (let i = text.indexOf('\n'); i >= 0 && i < offset; i = text.indexOf('\n', i + 1)) line += 1;
  return line;
}

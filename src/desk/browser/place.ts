/**
 * Where in a plan the cursor is: under which keys, and whether a key or a
 * value is being typed. Works on half-typed text, which no parser takes.
 *
 * Always holds: looks only at what stands before the cursor; quotes and
 * comments count as `syntaxMask` has them.
 */

import { syntaxMask } from '../../../compiler/read/lines.ts';

export interface Place {
  /** Keys, and positions in lists, from the root to the map or list the cursor is in; a value's own key is the last. */
  readonly path: readonly string[];
  readonly typing: 'key' | 'value';
  /** Where the word begins that is being typed. */
  readonly from: number;
  readonly word: string;
}

interface Frame {
  readonly indent: number;
  /** A key, or the position in a list. */
  step: string;
}

interface Flow {
  readonly bracket: '{' | '[';
  /** Key being filled in, once its colon has come; or the position in a list. */
  step: string | undefined;
  count: number;
  /** Where the present entry begins. */
  begin: number;
}

/** The place of an offset in a plan's text. */
export function placeIn(text: string, offset: number): Place {
  const before = text.slice(0, offset);
  const mask = syntaxMask(before);
  const blocks: Frame[] = [];
  const flows: Flow[] = [];
  let at = 0;
  let value: number | undefined;
  while (at <= before.length) {
    const found = before.indexOf('\n', at);
    const end = found < 0 ? before.length : found;
    let from = at;
    if (flows.length === 0) ({ value, from } = openLine(before, at, end, blocks, found < 0));
    scan(before, from, end, mask, flows);
    if (found < 0) break;
    at = end + 1;
  }
  return flows.length > 0 ? inFlow(before, blocks, flows) : inBlock(before, blocks, value);
}

interface Line {
  /** Where the value of its key begins; undefined where no key has its colon yet. */
  readonly value: number | undefined;
  /** Where brackets may begin. */
  readonly from: number;
}

/** Takes the keys of a line that is not inside brackets. */
function openLine(text: string, start: number, end: number, blocks: Frame[], isLast: boolean): Line {
  const line = text.slice(start, end);
  let indent = line.length - line.trimStart().length;
  const isBare = line.trim() === '' || line.trimStart().startsWith('#');
  if (isBare && !isLast) return { value: undefined, from: end };
  let rest = line.slice(indent);
  for (;;) {
    const dash = /^-(\s+|$)/.exec(rest);
    if (!dash) break;
    while (blocks.length > 0 && (blocks.at(-1)?.indent ?? 0) > indent) blocks.pop();
    const top = blocks.at(-1);
    if (top && top.indent === indent && /^\d+$/.test(top.step)) top.step = String(Number(top.step) + 1);
    else blocks.push({ indent, step: '0' });
    // A list may stand in the same column as its key: what follows the dash is further in.
    indent += dash[0].length;
    rest = rest.slice(dash[0].length);
  }
  while (blocks.length > 0 && (blocks.at(-1)?.indent ?? 0) >= indent && !isListAt(blocks, indent))
    blocks.pop();
  const key = /^("[^"]*"|'[^']*'|[^\s:#,[\]{}][^:#,[\]{}]*?)\s*:(?=\s|$)\s*/.exec(rest);
  if (!key) return { value: undefined, from: /^[{[]/.test(rest) ? start + indent : end };
  blocks.push({ indent, step: unquoted(key[1] ?? '') });
  const value = start + indent + key[0].length;
  return { value, from: value };
}

const isListAt = (blocks: readonly Frame[], indent: number): boolean => {
  const top = blocks.at(-1);
  return top !== undefined && top.indent < indent && /^\d+$/.test(top.step);
};

function scan(text: string, from: number, to: number, mask: Uint8Array, flows: Flow[]): void {
  for (let i = from; i < to; i++) {
    if (mask[i] !== 1) continue;
    const character = text[i];
    const top = flows.at(-1);
    if (character === '{' || character === '[') {
      flows.push({ bracket: character, step: character === '[' ? '0' : undefined, count: 0, begin: i + 1 });
    } else if (!top) continue;
    else if (character === '}' || character === ']') flows.pop();
    else if (character === ',') {
      top.count += 1;
      top.begin = i + 1;
      top.step = top.bracket === '[' ? String(top.count) : undefined;
    } else if (
      character === ':' &&
      top.bracket === '{' &&
      top.step === undefined &&
      /\s|^$/.test(text[i + 1] ?? '')
    ) {
      top.step = unquoted(text.slice(top.begin, i).trim());
      top.begin = i + 1;
    }
  }
}

function inFlow(text: string, blocks: readonly Frame[], flows: readonly Flow[]): Place {
  const steps = flows.flatMap(({ step }) => (step === undefined ? [] : [step]));
  const top = flows[flows.length - 1];
  const typed = text.slice(top?.begin ?? text.length);
  const word = typed.trimStart();
  const typing = top?.step === undefined ? 'key' : 'value';
  return {
    path: [...blocks.map(({ step }) => step), ...steps],
    typing,
    from: text.length - word.length,
    word,
  };
}

function inBlock(text: string, blocks: readonly Frame[], value: number | undefined): Place {
  const path = blocks.map(({ step }) => step);
  if (value !== undefined) {
    const word = text.slice(value);
    return { path, typing: 'value', from: value, word };
  }
  const line = text.slice(text.lastIndexOf('\n') + 1);
  const word = line.replace(/^\s*(-\s+)*/, '');
  return { path, typing: 'key', from: text.length - word.length, word };
}

function unquoted(text: string): string {
  return text.replace(/^(["'])(.*)\1$/, '$2');
}

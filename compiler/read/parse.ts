/**
 * From text to tree: slips of typing put right first, then the `yaml`
 * package; its own error messages become findings of ours.
 */

import { type Document, parseDocument } from 'yaml';
import type { Report } from '../findings/collector.ts';
import type { Span } from '../findings/finding.ts';
import { applyEdits } from './edits.ts';
import { lineOf, openQuote } from './lines.ts';
import { type Healed, healSlips } from './slips.ts';
import { buildTree, type MapNode } from './tree.ts';

/** Most syntax errors told at once: after the first few they only echo. */
const ERRORS_MAX = 3;
const ERRORS_LOOKED_AT = 50;

/** Most quotes left open that are put right in one run. */
const OPEN_QUOTES_MAX = 5;

/** Parses the text into a tree whose root is a map; undefined when it cannot be (reported). */
export function parseText(text: string, report: Report): MapNode | undefined {
  const slips = healSlips(text, report);
  if (!slips.sane) return undefined;
  const read = parseClosingQuotes(slips, report);
  if (!read) {
    report('text-too-deep', { start: 0, end: 0 }, {});
    return undefined;
  }
  const { document, healed } = read;
  if (document.errors.length > 0) {
    syntaxErrors(document, text, healed, report);
    return undefined;
  }
  const place = (start: number, end: number): Span => {
    const from = healed.toOriginal(start);
    return { start: from, end: Math.max(healed.toOriginal(end), from) };
  };
  const tree = buildTree(document, place, report);
  if (tree?.kind === 'map' && tree.entries.size > 0) return withoutEmpty(tree);
  if (tree || !document.contents) report('text-empty', { start: 0, end: 0 }, {});
  return undefined;
}

interface Parsed {
  readonly document: Document.Parsed;
  readonly healed: Healed;
}

/** Parses; where that fails for a quote left open, tells it, closes it at the end of its line and tries again. */
function parseClosingQuotes(slips: Healed, report: Report): Parsed | undefined {
  let healed = slips;
  for (let tries = 0; ; tries++) {
    const document = parsed(healed.text);
    const quote = document?.errors.some(({ code }) => code === 'MISSING_CHAR')
      ? openQuote(healed.text)
      : undefined;
    if (!document || quote === undefined || tries === OPEN_QUOTES_MAX)
      return document && { document, healed };
    healed = closeQuote(healed, quote, report);
  }
}

function closeQuote(healed: Healed, at: number, report: Report): Healed {
  const { text, toOriginal } = healed;
  const quote = text.charAt(at);
  const lineEnd = text.indexOf('\n', at);
  const edited = applyEdits(text, [{ at: lineEnd < 0 ? text.length : lineEnd, remove: 0, text: quote }]);
  const start = toOriginal(at);
  const span = { start, end: start + 1 };
  report('text-quote-left-open', span, { quote });
  return {
    ...healed,
    text: edited.text,
    toOriginal: (offset) => toOriginal(edited.toOriginal(offset)),
    slips: [...healed.slips, span],
  };
}

/** Rules, comments and nothing else: a second document of these is none. */
const EMPTY_DOCUMENTS = /^(?:\s|---|\.\.\.|#[^\n]*(?:\n|$))*$/;

/** The document; undefined when it nests deeper than the package can follow. */
function parsed(text: string): Document.Parsed | undefined {
  try {
    const document = parseDocument(text, {
      version: '1.2',
      schema: 'core',
      uniqueKeys: false,
      // Silent, the package would pass over a second document.
      logLevel: 'error',
      prettyErrors: false,
    });
    document.errors = document.errors.filter(
      ({ code, pos }) => code !== 'MULTIPLE_DOCS' || !EMPTY_DOCUMENTS.test(text.slice(pos[0])),
    );
    return document;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Tells syntax errors, but not those beside a slip already told. */
function syntaxErrors(document: Document.Parsed, text: string, healed: Healed, report: Report): void {
  const slipLines = healed.slips.map((span) => lineOf(text, span.start));
  let told = 0;
  for (const { code, pos } of document.errors.slice(0, ERRORS_LOOKED_AT)) {
    if (told >= ERRORS_MAX) return;
    const start = Math.min(healed.toOriginal(pos[0]), text.length);
    const line = lineOf(text, start);
    if (slipLines.some((slip) => Math.abs(slip - line) <= 1)) continue;
    report(
      'text-unreadable',
      { start, end: Math.max(start + 1, healed.toOriginal(pos[1])) },
      { reason: code },
    );
    told += 1;
  }
  if (told === 0 && healed.slips.length === 0)
    report('text-unreadable', { start: 0, end: 0 }, { reason: 'IMPOSSIBLE' });
}

/** Sections left empty (`screens:` with everything below it commented out) count as left out. */
function withoutEmpty(root: MapNode): MapNode {
  for (const [key, entry] of root.entries) {
    if (entry.value.kind === 'scalar' && entry.value.value === null) root.entries.delete(key);
  }
  return root;
}

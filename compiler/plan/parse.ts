/**
 * From text to tree: slips of typing put right first, then the `yaml`
 * package; its own error messages become findings of ours.
 */

import { type Document, parseDocument } from 'yaml';
import type { Span } from '../diagnostics/diagnostic.ts';
import { lineOf } from './lines.ts';
import type { Report } from './report.ts';
import { type Healed, healSlips } from './slips.ts';
import { buildTree, type MapNode } from './tree.ts';

/** Most syntax errors told at once: after the first few they only echo. */
const ERRORS_MAX = 3;

/** Parses the text into a tree whose root is a map; undefined when it cannot be (reported). */
export function parseText(text: string, report: Report): MapNode | undefined {
  const healed = healSlips(text, report);
  if (!healed.sane) return undefined;
  const document = parsed(healed.text);
  if (!document) {
    report('E103', { start: 0, end: 0 }, {});
    return undefined;
  }
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
  if (tree || !document.contents) report('E112', tree?.span ?? { start: 0, end: 0 }, {});
  return undefined;
}

/** The document; undefined when it nests deeper than the package can follow. */
function parsed(text: string): Document.Parsed | undefined {
  try {
    return parseDocument(text, {
      version: '1.2',
      schema: 'core',
      uniqueKeys: false,
      logLevel: 'silent',
      prettyErrors: false,
    });
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** Tells syntax errors, but not those beside a slip already told. */
function syntaxErrors(document: Document.Parsed, text: string, healed: Healed, report: Report): void {
  const slipLines = healed.slips.map((span) => lineOf(text, span.start));
  let told = 0;
  for (const { code, pos } of document.errors) {
    const start = Math.min(healed.toOriginal(pos[0]), text.length);
    const line = lineOf(text, start);
    if (told >= ERRORS_MAX || slipLines.some((slip) => Math.abs(slip - line) <= 1)) continue;
    report('E110', { start, end: Math.max(start + 1, healed.toOriginal(pos[1])) }, { reason: code });
    told += 1;
  }
  if (told === 0 && healed.slips.length === 0) report('E110', { start: 0, end: 0 }, { reason: 'IMPOSSIBLE' });
}

/** Sections left empty (`screens:` with everything below it commented out) count as left out. */
function withoutEmpty(root: MapNode): MapNode {
  for (const [key, entry] of root.entries) {
    if (entry.value.kind === 'scalar' && entry.value.value === null) root.entries.delete(key);
  }
  return root;
}

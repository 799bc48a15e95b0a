/**
 * From text to tree with the `yaml` package; its own error messages become
 * findings of ours.
 */

import { parseDocument } from 'yaml';
import type { Span } from '../diagnostics/diagnostic.ts';
import type { Report } from './report.ts';
import { buildTree, type MapNode } from './tree.ts';

/** Parses the text into a tree whose root is a map; undefined when it cannot be (reported). */
export function parseText(text: string, report: Report): MapNode | undefined {
  const document = parseDocument(text, {
    version: '1.2',
    schema: 'core',
    uniqueKeys: false,
    logLevel: 'silent',
    prettyErrors: false,
  });
  const place = (start: number, end: number): Span => ({ start, end });
  for (const error of document.errors.slice(0, 5)) {
    report('E110', place(error.pos[0], error.pos[1]), { reason: error.code });
  }
  if (document.errors.length > 0) return undefined;
  const tree = buildTree(document, place, report);
  if (tree?.kind === 'map') return tree;
  report('E112', place(0, 0), {});
  return undefined;
}

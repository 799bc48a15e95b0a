/**
 * Writes a value at a key of an entry, in the text's own style.
 *
 * Always holds: only the value changes, or a key is added at the end of its
 * map; comments, blanks and the rest of the line stay. What is written
 * elsewhere (behind a `*` mark) is not changed.
 */

import { type Document, isMap, isNode, isScalar, isSeq, type Node, parseDocument } from 'yaml';
import type { Edit } from '../read/edits.ts';
import { afterLast } from './in-map.ts';

/** The text as `yaml` parses it, with the place of every node. */
export function documentOf(text: string): Document.Parsed {
  return parseDocument(text, { version: '1.2', schema: 'core', uniqueKeys: false, logLevel: 'silent' });
}

/** The node at a path of keys and list positions; undefined where the path does not lead all the way. */
export function nodeAt(document: Document.Parsed, path: readonly string[]): Node | undefined {
  let node: unknown = document.contents;
  for (const step of path) {
    if (isMap(node)) node = node.get(step, true);
    else if (isSeq(node)) node = node.get(Number(step), true);
    else return undefined;
  }
  return isNode(node) ? node : undefined;
}

/** The place of an entry's key, for showing it; undefined when there is none. */
export function keyPlace(text: string, path: readonly string[]): { start: number; end: number } | undefined {
  const parent = nodeAt(documentOf(text), path.slice(0, -1));
  if (!isMap(parent)) return undefined;
  const pair = parent.items.find(({ key }) => isScalar(key) && String(key.value) === path.at(-1));
  const range = isNode(pair?.key) ? pair.key.range : undefined;
  return range ? { start: range[0], end: range[1] } : undefined;
}

/**
 * The edits that make the value at `path` read `value` (as it is to be written); undefined where the map that
 * holds the key is not there, or the value is no plain value or list on its own. `document`: the text, where it
 * is parsed already.
 */
export function setValue(
  text: string,
  path: readonly string[],
  value: string,
  document: Document.Parsed = documentOf(text),
): Edit[] | undefined {
  const node = nodeAt(document, path);
  if (node) {
    const isPlain = isScalar(node) || ((isSeq(node) || isMap(node)) && node.flow);
    if (!isPlain || !node.range) return undefined;
    const [from, to] = node.range;
    return text.slice(from, to) === value ? [] : [{ at: from, remove: to - from, text: value }];
  }
  const map = nodeAt(document, path.slice(0, -1));
  const key = path.at(-1);
  if (!isMap(map) || key === undefined) return undefined;
  const newline = text.includes('\r\n') ? '\r\n' : '\n';
  return [afterLast(map, text, `${key}: ${value}`, newline)];
}

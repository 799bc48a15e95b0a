/**
 * Adding a key to a map of a YAML text in the map's own style.
 *
 * Always holds: an edit puts text in and takes nothing out; remarks stay on
 * their lines.
 */

import { isMap, isNode, isSeq, type YAMLMap } from 'yaml';
import { sure } from '../../shared/assert.ts';
import type { Edit } from '../read/edits.ts';

/** Adds a key to the end of a map in its own style. */
export function afterLast(map: YAMLMap, text: string, entry: string, newline: string): Edit {
  if (map.flow && map.items.length === 0)
    return { at: sure(map.range)[0] + 1, remove: 0, text: ` ${entry} ` };
  if (map.flow) return { at: contentEnd(map), remove: 0, text: `, ${entry}` };
  const at = lineEnd(text, contentEnd(map));
  return { at, remove: 0, text: `${newline}${indentOf(map, text)}${entry}` };
}

/** A word as it is, anything else in double quotes (JSON's escapes are YAML's too). */
export function plainWord(word: string): string {
  return /^[\p{L}\d][\p{L}\d_-]*(?: [\p{L}\d_-]+)*$/u.test(word) && !/^(?:true|false|null)$/i.test(word)
    ? word
    : JSON.stringify(word);
}

/** Where the last value inside a map ends (its key, where it has none). */
function contentEnd(map: YAMLMap): number {
  const last = map.items.at(-1);
  return nodeEnd(last?.value ?? last?.key);
}

function nodeEnd(node: unknown): number {
  if (isMap(node) && !node.flow && node.items.length > 0) return contentEnd(node);
  if (isSeq(node) && !node.flow && node.items.length > 0) return nodeEnd(node.items.at(-1));
  return isNode(node) ? (node.range?.[1] ?? 0) : 0;
}

/** The end of the line a place is on, remarks included. */
export function lineEnd(text: string, at: number): number {
  const inside = text[at - 1] === '\n' ? at - 1 : at;
  const found = text.indexOf('\n', inside);
  const end = found < 0 ? text.length : found;
  return text[end - 1] === '\r' ? end - 1 : end;
}

/** The spaces in front of the first key of a map. */
function indentOf(map: YAMLMap, text: string): string {
  const key = map.items[0]?.key;
  const at = isNode(key) ? (key.range?.[0] ?? 0) : 0;
  const line = text.slice(text.lastIndexOf('\n', at - 1) + 1, at);
  return /^\s*/.exec(line)?.[0] ?? '  ';
}

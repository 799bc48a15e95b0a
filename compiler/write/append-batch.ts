/**
 * Appends a batch to the text of a plan; every other character stays as it is.
 *
 * Always holds: what comes out is to be read again as every plan is, which also
 * finds clashes (a zone that is not free, an unknown name).
 */

import { isMap, isNode, isScalar, isSeq, type Pair, parseDocument, type YAMLMap } from 'yaml';
import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';

export interface NewBatch {
  /** Left out, it is named after the day. */
  readonly name?: string | undefined;
  readonly zones: readonly string[];
  readonly sealed: CivilDay;
  readonly bag?: string | undefined;
  readonly regime?: string | undefined;
  readonly enters?: string | undefined;
  readonly strain?: string | undefined;
  readonly spawn?: string | undefined;
  readonly lot?: string | undefined;
  readonly note?: string | undefined;
}

interface Insert {
  readonly at: number;
  readonly text: string;
}

/** The plan's text with one batch more. The plan must read without an error. */
export function appendBatch(text: string, batch: NewBatch): string {
  const newline = text.includes('\r\n') ? '\r\n' : '\n';
  const document = parseDocument(text, {
    version: '1.2',
    schema: 'core',
    uniqueKeys: false,
    logLevel: 'silent',
  });
  const root = isMap(document.contents) ? document.contents : undefined;
  const batches = root && mapUnder(root, 'batches');
  const name = batch.name ?? freeName(batches, `sealed-${isoDate(batch.sealed)}`);
  const entry = `${plain(name)}: ${entryText(batch)}`;
  if (!root || !batches || batches.items.length === 0) return firstBatch(text, root, entry, newline);
  const inserts = [
    ...zonesOfOnlyBatch(root, batches, text, newline),
    afterLast(batches, text, entry, newline),
  ];
  return inserts
    .reverse()
    .sort((a, b) => b.at - a.at)
    .reduce((now, { at, text: piece }) => now.slice(0, at) + piece + now.slice(at), text);
}

/** Adds a key to the end of a map in its own style. */
function afterLast(map: YAMLMap, text: string, entry: string, newline: string): Insert {
  if (map.flow) return { at: contentEnd(map), text: `, ${entry}` };
  const at = lineEnd(text, contentEnd(map));
  return { at, text: `${newline}${indentOf(map, text)}${entry}` };
}

/** A plan with one batch may leave out its zones (all); with two it may not. */
function zonesOfOnlyBatch(root: YAMLMap, batches: YAMLMap, text: string, newline: string): Insert[] {
  const [only] = batches.items;
  if (batches.items.length > 1 || !only || !isMap(only.value)) return [];
  if (only.value.has('zones') || only.value.has('like') || only.value.items.length === 0) return [];
  const zones = mapUnder(root, 'zones')?.items.map((pair) => plain(keyOf(pair))) ?? [];
  return [afterLast(only.value, text, `zones: [${zones.join(', ')}]`, newline)];
}

function mapUnder(root: YAMLMap, key: string): YAMLMap | undefined {
  const value = root.get(key, true);
  return isMap(value) ? value : undefined;
}

function keyOf(pair: Pair): string {
  return isScalar(pair.key) ? (pair.key.source ?? String(pair.key.value)) : String(pair.key);
}

function freeName(batches: YAMLMap | undefined, wanted: string): string {
  const taken = new Set(batches?.items.map(keyOf) ?? []);
  let name = wanted;
  for (let i = 2; taken.has(name); i++) name = `${wanted}-${i}`;
  return name;
}

const NAME_KEYS = ['bag', 'regime', 'enters'] as const;
const TEXT_KEYS = ['strain', 'spawn', 'lot', 'note'] as const;

function entryText(batch: NewBatch): string {
  const parts = [`sealed: ${isoDate(batch.sealed)}`, `zones: [${batch.zones.map(plain).join(', ')}]`];
  for (const key of NAME_KEYS) if (batch[key] !== undefined) parts.push(`${key}: ${plain(batch[key])}`);
  for (const key of TEXT_KEYS) if (batch[key] !== undefined) parts.push(`${key}: ${plain(batch[key])}`);
  return `{ ${parts.join(', ')} }`;
}

/** A word as it is, anything else in double quotes (JSON's escapes are YAML's too). */
function plain(word: string): string {
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
function lineEnd(text: string, at: number): number {
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

/** A plan that has no batches yet. */
function firstBatch(text: string, root: YAMLMap | undefined, entry: string, newline: string): string {
  const batches = root && mapUnder(root, 'batches');
  const key = root?.items.map((pair) => pair.key).find((one) => isScalar(one) && one.value === 'batches');
  const insert = (at: number, piece: string) => text.slice(0, at) + piece + text.slice(at);
  if (batches?.range) return insert(batches.range[0] + 1, ` ${entry} `);
  if (isNode(key) && key.range) return insert(lineEnd(text, key.range[1]), `${newline}  ${entry}`);
  const gap = text === '' || text.endsWith('\n') ? '' : newline;
  return `${text}${gap}${newline}batches:${newline}  ${entry}${newline}`;
}

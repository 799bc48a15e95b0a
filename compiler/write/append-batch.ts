/**
 * Appends a batch to the text of a plan; every other character stays as it is.
 *
 * Always holds: what comes out is to be read again as every plan is, which also
 * finds clashes (a zone that is not free, an unknown name).
 */

import { isMap, isNode, isScalar, type Pair, parseDocument, type YAMLMap } from 'yaml';
import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import type { Edit } from '../read/edits.ts';
import { afterLast, lineEnd, plainWord } from './in-map.ts';

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
  const entry = `${plainWord(name)}: ${entryText(batch)}`;
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

/** A plan with one batch may leave out its zones (all); with two it may not. */
function zonesOfOnlyBatch(root: YAMLMap, batches: YAMLMap, text: string, newline: string): Edit[] {
  const [only] = batches.items;
  if (batches.items.length > 1 || !only || !isMap(only.value)) return [];
  if (only.value.has('zones') || only.value.has('like') || only.value.items.length === 0) return [];
  const zones = mapUnder(root, 'zones')?.items.map((pair) => plainWord(keyOf(pair))) ?? [];
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
  const parts = [`sealed: ${isoDate(batch.sealed)}`, `zones: [${batch.zones.map(plainWord).join(', ')}]`];
  for (const key of NAME_KEYS) if (batch[key] !== undefined) parts.push(`${key}: ${plainWord(batch[key])}`);
  for (const key of TEXT_KEYS) if (batch[key] !== undefined) parts.push(`${key}: ${plainWord(batch[key])}`);
  return `{ ${parts.join(', ')} }`;
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

/**
 * Takes out of a batch of a plan's text what an entry of the grow book wrote
 * there: that a stage began, that a zone ended, that bags came into a zone.
 *
 * Always holds: only that value goes, with the key over it where nothing else is
 * left there; a remark is never taken away. Where the value is not there, or is
 * another, nothing is to be done; where it stands beside a remark, or behind a
 * `*` mark, it is to be done by hand.
 */

import { isMap, isNode, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { applyEdits, type Edit } from '../read/edits.ts';
import { lineEnd, plainWord } from './in-map.ts';
import { documentOf, nodeAt, setValue } from './set-value.ts';

/** The text without it; `nothing`: it is not there; `by hand`: it cannot be taken out for the grower. */
export type TakenOut = { readonly text: string } | 'nothing' | 'by hand';

/**
 * A stage that began on a day; `stage` undefined: the one that has that day, where it is the only one. Where the plan
 * had another day `before`, that comes back.
 */
export function takeOutBegan(
  text: string,
  batch: string,
  stage: string | undefined,
  day: CivilDay,
  before?: CivilDay,
): TakenOut {
  const path = ['batches', batch, 'began'];
  const map = nodeAt(documentOf(text), path);
  if (!isMap(map)) return 'nothing';
  const mine = map.items.filter(
    ({ key, value }) => isDay(value, day) && (stage === undefined || wordOf(key) === stage),
  );
  const [pair] = mine;
  if (!pair || mine.length > 1) return 'nothing';
  const at = [...path, wordOf(pair.key)];
  return before === undefined ? without(text, at) : put(text, at, isoDate(before));
}

/**
 * That a zone ended on a day; `gone` are the zones of the batch, of those that ended with it, that stay ended. Where
 * the plan had another day `before`, that comes back.
 */
export function takeOutEnded(
  text: string,
  batch: string,
  zone: string,
  { gone, day, before }: EndToTakeOut,
): TakenOut {
  // Whoever wrote the plan meant this day before any bag went out.
  if (before === day) return 'nothing';
  const had = before === undefined ? undefined : isoDate(before);
  const path = ['batches', batch, 'ended'];
  const node = nodeAt(documentOf(text), path);
  if (isMap(node)) {
    if (!isDay(node.get(zone, true), day)) return 'nothing';
    return had === undefined ? without(text, [...path, zone]) : put(text, [...path, zone], had);
  }
  if (!isDay(node, day)) return 'nothing';
  if (gone.length === 0) return had === undefined ? without(text, path) : put(text, path, had);
  const each = gone.map((one) => `${plainWord(one)}: ${isoDate(day)}`);
  const mine = had === undefined ? [] : [`${plainWord(zone)}: ${had}`];
  return put(text, path, `{ ${[...mine, ...each].join(', ')} }`);
}

interface EndToTakeOut {
  readonly gone: readonly string[];
  readonly day: CivilDay;
  readonly before?: CivilDay | undefined;
}

/** That bags came into a zone on a day: the zone too. */
export function takeOutMovedTo(text: string, batch: string, zone: string, day: CivilDay): TakenOut {
  const path = ['batches', batch, 'enters'];
  const document = documentOf(text);
  const enters = nodeAt(document, path);
  if (!isMap(enters) || !isDay(enters.get(zone, true), day)) return 'nothing';
  const zones = nodeAt(document, ['batches', batch, 'zones']);
  if (!isSeq(zones) || !zones.flow) return 'by hand';
  const left = zones.items.map(wordOf).filter((one) => one !== zone);
  const fewer = put(text, ['batches', batch, 'zones'], `[${left.map(plainWord).join(', ')}]`);
  return typeof fewer === 'string' ? fewer : without(fewer.text, [...path, zone]);
}

const isDay = (node: unknown, day: CivilDay): boolean =>
  isScalar(node) && (node.source ?? String(node.value)) === isoDate(day);

const wordOf = (node: unknown): string => (isScalar(node) ? String(node.value) : '');

function put(text: string, path: readonly string[], value: string): TakenOut {
  const edits = setValue(text, path, value);
  return edits ? { text: applyEdits(text, edits).text } : 'by hand';
}

/** The text without a key; without its parent too, where that has no other. */
function without(text: string, path: readonly string[]): TakenOut {
  const document = documentOf(text);
  const map = nodeAt(document, path.slice(0, -1));
  const at = isMap(map) ? map.items.findIndex(({ key }) => wordOf(key) === path.at(-1)) : -1;
  if (!isMap(map) || at < 0) return 'by hand';
  if (map.items.length === 1 && path.length > 3) return without(text, path.slice(0, -1));
  const edit = map.flow ? inFlow(map, at) : ownLines(text, map.items[at]);
  // A remark stays, so what stands beside one is left to the grower.
  if (!edit || text.slice(edit.at, edit.at + edit.remove).includes('#')) return 'by hand';
  return { text: applyEdits(text, [edit]).text };
}

function inFlow({ items }: YAMLMap, at: number): Edit | undefined {
  const [before, mine, after] = [items[at - 1], items[at], items[at + 1]].map(rangeOf);
  if (!mine) return undefined;
  const from = before ? before.to : mine.from;
  const to = before ? mine.to : (after?.from ?? mine.to);
  return { at: from, remove: to - from, text: '' };
}

function ownLines(text: string, pair: Pair | undefined): Edit | undefined {
  const mine = rangeOf(pair);
  if (!mine) return undefined;
  const from = text.lastIndexOf('\n', mine.from - 1) + 1;
  const end = lineEnd(text, mine.to);
  const next = text.indexOf('\n', end);
  if (next >= 0) return { at: from, remove: next + 1 - from, text: '' };
  // The last line of a text without a last newline: the line before becomes the last.
  const at = lineEnd(text, from);
  return { at, remove: text.length - at, text: '' };
}

/** From the beginning of a key to the end of its value; undefined where they are not plain nodes of the text. */
function rangeOf(pair: Pair | undefined): { readonly from: number; readonly to: number } | undefined {
  const [key, value] = [nodeOf(pair?.key), nodeOf(pair?.value)];
  if (!key?.range || !value?.range) return undefined;
  return { from: key.range[0], to: value.range[1] };
}

const nodeOf = (node: unknown): Node | undefined => (isNode(node) ? node : undefined);

/**
 * Writes into a batch of a plan's text what happened to it: ended, begun, moved;
 * every other character stays as it is.
 *
 * Always holds: what comes out is to be read again as every plan is, which also
 * finds what cannot be. Where the text is written so that it cannot be changed
 * there (a batch behind a `*` mark), undefined comes out.
 */

import { isMap, isNode, isScalar, isSeq } from 'yaml';
import { dayFromIso, isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { applyEdits } from '../read/edits.ts';
import { afterLast, lineEnd, plainWord } from './in-map.ts';
import { documentOf, nodeAt, setValue } from './set-value.ts';

type Changed = string | undefined;

/**
 * The text with `ended` written for some zones of a batch; `isWhole`: they are all that were left, `others` the zones
 * that the batch has beside them. Zones that were ended before keep their days.
 */
export function writeEnded(
  text: string,
  batch: string,
  {
    zones,
    others,
    isWhole,
    day,
  }: {
    readonly zones: readonly string[];
    readonly others: readonly string[];
    readonly isWhole: boolean;
    readonly day: CivilDay;
  },
): Changed {
  const date = isoDate(day);
  const path = ['batches', batch, 'ended'];
  const had = nodeAt(documentOf(text), path);
  if (isScalar(had) && had.value !== null && others.length > 0) {
    // One day for all of them becomes that day for each of the others.
    const kept = others.map((one) => `${plainWord(one)}: ${had.source ?? String(had.value)}`);
    const ended = zones.map((one) => `${plainWord(one)}: ${date}`);
    return put(text, path, `{ ${[...kept, ...ended].join(', ')} }`);
  }
  if (isWhole && !isMap(had)) return put(text, path, date);
  return zones.reduce<Changed>((now, zone) => now && under(now, path, zone, date), text);
}

/** The text with the day on which a stage began. */
export function writeBegan(text: string, batch: string, stage: string, day: CivilDay): Changed {
  return under(text, ['batches', batch, 'began'], stage, isoDate(day));
}

/** The day that the text has for the begin of a stage; undefined: none. */
export function begunIn(text: string, batch: string, stage: string): CivilDay | undefined {
  const node = nodeAt(documentOf(text), ['batches', batch, 'began', stage]);
  return isScalar(node) ? dayFromIso(node.source ?? String(node.value)) : undefined;
}

/** The text with a zone more, to which bags were moved on a day; `zones` are those that the batch has. */
export function writeMovedTo(
  text: string,
  batch: string,
  zones: readonly string[],
  zone: string,
  day: CivilDay,
): Changed {
  const withZone = addZone(text, batch, zones, zone);
  if (withZone === undefined) return undefined;
  const path = ['batches', batch, 'enters'];
  const enters = nodeAt(documentOf(withZone), path);
  if (!isScalar(enters)) return under(withZone, path, zone, isoDate(day));
  // A stage for all of them becomes that stage for each that was there before.
  const each = zones.map((one) => `${plainWord(one)}: ${plainWord(String(enters.source ?? enters.value))}`);
  return put(withZone, path, `{ ${[...each, `${plainWord(zone)}: ${isoDate(day)}`].join(', ')} }`);
}

function addZone(text: string, batch: string, zones: readonly string[], zone: string): Changed {
  const path = ['batches', batch, 'zones'];
  const list = nodeAt(documentOf(text), path);
  if (!isSeq(list)) return put(text, path, `[${[...zones, zone].map(plainWord).join(', ')}]`);
  const names = list.items.map((item) => (isScalar(item) ? (item.source ?? String(item.value)) : ''));
  const [first, last] = [list.items[0], list.items.at(-1)];
  if (names.includes(zone) || !isNode(last) || !last.range || !isNode(first) || !first.range) return text;
  const [, end] = last.range;
  if (list.flow) return `${text.slice(0, end)}, ${plainWord(zone)}${text.slice(end)}`;
  const line = text.slice(text.lastIndexOf('\n', first.range[0] - 1) + 1, first.range[0]);
  const at = lineEnd(text, end);
  return `${text.slice(0, at)}${newlineOf(text)}${line.slice(0, line.indexOf('-'))}- ${plainWord(zone)}${text.slice(at)}`;
}

/** Writes an entry into the map under a key. */
function under(text: string, path: readonly string[], name: string, value: string): Changed {
  const document = documentOf(text);
  const map = nodeAt(document, path);
  const entry = `${plainWord(name)}: ${value}`;
  if (!isMap(map) || map.items.length === 0) return put(text, path, `{ ${entry} }`);
  if (nodeAt(document, [...path, name])) return put(text, [...path, name], value);
  return applyEdits(text, [afterLast(map, text, entry, newlineOf(text))]).text;
}

const newlineOf = (text: string): string => (text.includes('\r\n') ? '\r\n' : '\n');

function put(text: string, path: readonly string[], value: string): Changed {
  const edits = setValue(text, path, value);
  return edits && applyEdits(text, edits).text;
}

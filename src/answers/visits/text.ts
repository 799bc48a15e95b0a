/** The coming work as a short text for the terminal: tonight first. */

import { itemAt } from '../../../shared/assert.ts';
import { clockTime, isoDate, weekday } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { list } from '../../words/lists.ts';
import { placeWords } from '../../words/places.ts';
import { sideWord } from '../../words/sides.ts';
import { doingWords } from '../../words/stages.ts';
import { HARVEST_CAUTION, VISIT_CAUTIONS } from './advice.ts';
import { alikeWork, ENTRIES_MAX, zonesAndBags } from './groups.ts';
import type { NotKept, WorkItem } from './work.ts';

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/** `Mon 2026-04-13`. */
export function dateWords(day: CivilDay): string {
  return `${WEEKDAYS[weekday(day)]} ${isoDate(day)}`;
}

/** One entry: `18:00–21:00  look at A (A-1 and A-2), batch early, climbing — overdue since Mon 2026-04-13`. */
export function itemWords(item: WorkItem): string {
  const bags = item.places.length > 0 ? ` (${placeWords(item.places)})` : '';
  return entryWords(item, `${whereWords(item)}${bags}`);
}

function entryWords(item: WorkItem, where: string, batches: readonly string[] = [item.batch]): string {
  const side = item.side === undefined ? '' : `, its ${sideWord(item.side)} side to the lamp`;
  const open = item.openUntil === undefined ? '' : `, open until ${isoDate(item.openUntil)}`;
  const of = batches.length === 1 ? `batch ${batches[0]}` : `${batches.length} batches`;
  const batch = item.zone === '' ? '' : `, ${of}, ${doingWords(item.stage)}`;
  return `${clockTime(item.at)}–${untilWords(item.until)}  ${doWords(item)} ${where}${side}${open}${batch}${stateWords(item)}`;
}

/** What is to be done, as the beginning of a sentence: `closer look at`, `lift`. */
export function doWords({ kind, closer }: Pick<WorkItem, 'kind' | 'closer'>): string {
  if (closer) return 'closer look at';
  return kind === 'look' ? 'look at' : kind;
}

/** The zone, or the bags that are not on the rack yet. */
function whereWords({ zone, batch, bags }: Pick<WorkItem, 'zone' | 'batch' | 'bags'>): string {
  if (zone !== '') return zone;
  return `batch ${batch}, not on the rack yet (${bags.length === 1 ? '1 bag' : `${bags.length} bags`})`;
}

function stateWords({ answer, overdue }: WorkItem): string {
  if (overdue !== undefined) return ` — overdue since ${dateWords(overdue)}`;
  return answer === undefined ? '' : ` — ${answer}`;
}

function untilWords(minute: number): string {
  return minute === 1440 ? '24:00' : clockTime(minute);
}

/** The whole list from `today` on; `gone` is what days away leave no room for. */
export function workText(
  items: readonly WorkItem[],
  today: CivilDay,
  days: number,
  gone: readonly NotKept[] = [],
): string {
  if (items.length > ENTRIES_MAX) return shortText(items, today, gone);
  const lines: string[] = [];
  const tonight = items.filter((item) => item.day === today);
  lines.push(`Today, ${dateWords(today)}:`, ...(tonight.length > 0 ? entries(tonight) : ['  nothing to do']));
  for (const day of [...new Set(items.map((item) => item.day))].filter((one) => one > today)) {
    lines.push(`${dateWords(day)}:`, ...entries(items.filter((item) => item.day === day)));
  }
  if (items.every((item) => item.day === today)) lines.push(`Nothing else in the next ${days} days.`);
  if (gone.length > 0) lines.push('', notKeptWords(gone));
  if (items.length > 0) lines.push('', ...cautionsFor(items));
  return lines.join('\n');
}

/** Of a large rack: what is alike is one line, and only today's work comes with its advice. */
function shortText(items: readonly WorkItem[], today: CivilDay, gone: readonly NotKept[]): string {
  const tonight = items.filter((item) => item.day === today);
  const said = new Set<string>();
  const byBatch = alikeWork(tonight);
  const groups = byBatch.length > TODAY_MAX ? alikeWork(tonight, 'stage') : byBatch;
  const now = groups.flatMap((group) => {
    const [first] = group;
    if (!first) return [];
    const line = `  ${groupLine(group, first)}`;
    if (said.has(first.lookFor)) return [line];
    said.add(first.lookFor);
    return [line, `      ${first.lookFor}`];
  });
  const later = comingLines(items, today);
  const tonightLines = now.length > 0 ? now : ['  nothing to do'];
  const left = gone.length > 0 ? ['', notKeptWords(gone)] : [];
  return [`Today, ${dateWords(today)}:`, ...tonightLines, ...later, ...left, '', ...cautionsFor(items)].join(
    '\n',
  );
}

/** So many lines of today, and of the days to come, are still read one by one. */
const TODAY_MAX = 16;
const COMING_MAX = 20;

function groupLine(group: readonly WorkItem[], first: WorkItem): string {
  return entryWords(first, groupWords(group), [...new Set(group.map(({ batch }) => batch))]);
}

/** The work after today, a line for what is alike on a day; where that is very much, a line a day. */
export function comingLines(items: readonly WorkItem[], today: CivilDay): string[] {
  const coming = items.filter((item) => item.day > today);
  const lines = alikeWork(coming).flatMap((group) => {
    const [first] = group;
    return first ? [`${dateWords(first.day)}  ${groupLine(group, first)}`] : [];
  });
  if (lines.length <= COMING_MAX) return lines;
  const days = [...new Set(coming.map(({ day }) => day))];
  return days.map((day) => dayLine(coming.filter((item) => item.day === day)));
}

/** `Fri 2026-05-15  lift S19a to S19h and S22a (9 zones, 45 bags); look at S24a (5 bags)`. */
function dayLine(items: readonly WorkItem[]): string {
  const kinds = [...new Set(items.map(doWords))];
  const each = kinds.map((kind) => {
    const own = items.filter((item) => doWords(item) === kind);
    const there = own.filter(({ zone }) => zone !== '');
    const waiting = [...new Set(own.filter(({ zone }) => zone === '').map(whereWords))];
    return `${kind} ${list([...(there.length > 0 ? [zonesAndBags(there, 'short')] : []), ...waiting])}`;
  });
  return `${dateWords(itemAt(items, 0).day)}  ${each.join('; ')}`;
}

function groupWords(group: readonly WorkItem[]): string {
  const [first] = group;
  return first?.zone === '' ? whereWords(first) : zonesAndBags(group);
}

/** Most of what cannot be kept that is named one by one. */
const NAMED = 8;

/** `While you are away nobody does: lift in A on Wed 2026-05-06. No day near it is free.` */
export function notKeptWords(gone: readonly NotKept[]): string {
  const named = gone
    .slice(0, NAMED)
    .map(({ what, place, day }) => `${what} in ${place} on ${dateWords(day)}`);
  const more = gone.length > NAMED ? [`${gone.length - NAMED} more`] : [];
  return `Days away leave no room for: ${list([...named, ...more])}. Ask somebody to come.`;
}

/** Entries, each kind's line of advice said once a day. */
function entries(items: readonly WorkItem[]): string[] {
  const said = new Set<string>();
  return items.flatMap((item) => {
    const lines = [`  ${itemWords(item)}`];
    if (!said.has(item.lookFor)) lines.push(`      ${item.lookFor}`);
    said.add(item.lookFor);
    return lines;
  });
}

/** The cautions that a list of work calls for. */
export function cautionsFor(items: readonly WorkItem[]): string[] {
  return [...VISIT_CAUTIONS, ...(items.some((item) => item.kind === 'harvest') ? [HARVEST_CAUTION] : [])];
}

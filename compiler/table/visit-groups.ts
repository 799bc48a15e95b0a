/**
 * Visits of one controller → the table's visit groups.
 *
 * Always holds: the groups, played, give every visit back exactly; entries
 * shared by several zones or batches are said once.
 */

import { itemAt } from '../../shared/assert.ts';
import { weekday } from '../../shared/civil.ts';
import type { VisitBinding, VisitEntry, VisitGroup } from '../../shared/table.ts';
import { civilDay } from '../../shared/units.ts';
import type { VisitOccurrence } from '../timeline/visit.ts';

const MOST = 255;
const MOST_IN_GROUP = 16;

/** One stay's visits: the zone's number on its controller, its first day, and what is due. */
export interface StayVisits {
  readonly zoneBit: number;
  /** Civil day the entries count from. */
  readonly start: number;
  /** In order of day; all of one zone and batch. */
  readonly visits: readonly VisitOccurrence[];
}

/** The groups for all stays, days counted from `baseDay`. */
export function visitGroups(stays: readonly StayVisits[], baseDay: number): VisitGroup[] {
  const bindingsOf = new Map<string, { entry: VisitEntry; bindings: Map<number, number> }>();
  for (const stay of stays) {
    for (const placed of stayEntries(stay)) {
      const name = JSON.stringify(placed.entry);
      const known = bindingsOf.get(name) ?? { entry: placed.entry, bindings: new Map<number, number>() };
      const startDay = placed.start - baseDay;
      known.bindings.set(startDay, (known.bindings.get(startDay) ?? 0) | (1 << stay.zoneBit));
      bindingsOf.set(name, known);
    }
  }
  return groupByBindings([...bindingsOf.values()]);
}

interface Placed {
  readonly start: number;
  readonly entry: VisitEntry;
}

function stayEntries(stay: StayVisits): Placed[] {
  const kinds = ['look', 'lift', 'turn', 'harvest'] as const;
  return kinds.flatMap((kind) => {
    const due = stay.visits.filter((visit) => visit.kind === kind);
    return kindEntries(due, stay.start);
  });
}

/** Cuts one kind's visits into the fewest entries, taking the longest run each time. */
function kindEntries(visits: readonly VisitOccurrence[], start: number): Placed[] {
  const placed: Placed[] = [];
  let at = 0;
  while (at < visits.length) {
    const visit = itemAt(visits, at);
    const evenly = visit.kind === 'harvest' ? 1 : evenRun(visits, at);
    const weekly = visit.kind === 'harvest' ? 1 : weekdayRun(visits, at);
    placed.push(place(visits.slice(at, at + Math.max(evenly, weekly)), start, weekly > evenly));
    at += Math.max(evenly, weekly);
  }
  return placed;
}

/** How many visits from `at` on are equally far apart at the same minute. */
function evenRun(visits: readonly VisitOccurrence[], at: number): number {
  const first = itemAt(visits, at);
  const second = visits[at + 1];
  if (!second || second.at !== first.at) return 1;
  const every = second.day - first.day;
  if (every > MOST) return 1;
  let count = 2;
  while (
    count < MOST &&
    visits[at + count]?.day === first.day + every * count &&
    itemAt(visits, at + count).at === first.at
  )
    count++;
  return count;
}

/** How many visits from `at` on are just the days of their weekday rule, at the same minute. */
function weekdayRun(visits: readonly VisitOccurrence[], at: number): number {
  const first = itemAt(visits, at);
  // A visit that had to move may lie on another weekday than its rule's.
  if (!first.weekdays?.includes(weekday(first.day))) return 1;
  let count = 1;
  let day = first.day + 1;
  while (day - first.day < MOST) {
    const next = visits[at + count];
    const expected = first.weekdays.includes(weekday(civilDay(day)));
    if (expected !== (next?.day === day)) break;
    if (expected && next?.at !== first.at) break;
    if (expected) count++;
    day++;
  }
  return count;
}

function place(run: readonly VisitOccurrence[], start: number, weekly: boolean): Placed {
  const first = itemAt(run, 0);
  const near = first.day - start <= MOST;
  const begin = near ? start : first.day;
  const common = { kind: first.kind, at: first.at as number, from: first.day - begin };
  return { start: begin, entry: { ...common, ...formOf(run, weekly) } };
}

function formOf(
  run: readonly VisitOccurrence[],
  weekly: boolean,
):
  | { form: 'every'; every: number; count: number }
  | { form: 'weekdays'; mask: number; days: number }
  | { form: 'once' }
  | { form: 'open'; days: number } {
  const first = itemAt(run, 0);
  if (first.kind === 'harvest') return { form: 'open', days: Math.min(first.days, MOST) };
  if (run.length === 1) return { form: 'once' };
  const last = itemAt(run, run.length - 1);
  if (!weekly) return { form: 'every', every: itemAt(run, 1).day - first.day, count: run.length };
  const mask = (first.weekdays ?? []).reduce((sum, day) => sum | (1 << day), 0);
  return { form: 'weekdays', mask, days: last.day - first.day + 1 };
}

/** Entries with the same bindings share a group. */
function groupByBindings(
  entries: readonly { readonly entry: VisitEntry; readonly bindings: ReadonlyMap<number, number> }[],
): VisitGroup[] {
  const groups = new Map<string, { entries: VisitEntry[]; bindings: VisitBinding[] }>();
  for (const { entry, bindings } of entries) {
    const list = [...bindings].sort(([a], [b]) => a - b).map(([startDay, zones]) => ({ startDay, zones }));
    const name = JSON.stringify(list);
    const group = groups.get(name) ?? { entries: [], bindings: list };
    group.entries.push(entry);
    groups.set(name, group);
  }
  return [...groups.values()].flatMap(splitLarge);
}

/** A group's head counts at most 16 entries and 16 bindings. */
function splitLarge(group: VisitGroup): VisitGroup[] {
  const parts: VisitGroup[] = [];
  for (let entry = 0; entry < group.entries.length; entry += MOST_IN_GROUP) {
    for (let binding = 0; binding < group.bindings.length; binding += MOST_IN_GROUP) {
      parts.push({
        entries: group.entries.slice(entry, entry + MOST_IN_GROUP),
        bindings: group.bindings.slice(binding, binding + MOST_IN_GROUP),
      });
    }
  }
  return parts;
}

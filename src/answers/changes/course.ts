/**
 * What a schedule table gives day by day: the light of each output and the
 * visits, worked out from the table's own bytes.
 *
 * Always holds: nothing but table and time goes in, as on the controller; the
 * outputs' one-second stagger is left out, so that times read as planned.
 */

import { firstInstant, type UtcOffsets, wallClock } from '../../../compiler/plan/utc-offsets.ts';
import { traceTable } from '../../../firmware-sim/schedule.ts';
import { itemAt } from '../../../shared/assert.ts';
import { weekday } from '../../../shared/civil.ts';
import type { Table, VisitKind } from '../../../shared/table.ts';
import { type CivilDay, civilDay, type UtcSeconds, utcSeconds } from '../../../shared/units.ts';

/** Light of one output on one civil day (of its beginning). */
export interface DayLight {
  readonly hours: number;
  /** Civil minutes of its beginnings, and the lengths, as one text: equal texts are equal light. */
  readonly pattern: string;
}

/** Civil day → light; days without light are absent. */
export type OutputCourse = ReadonlyMap<number, DayLight>;

export interface DueVisit {
  readonly kind: VisitKind;
  /** Zones, bit 0 the controller's first. */
  readonly zones: number;
  readonly day: number;
  readonly minute: number;
  /** Days it stays open: 1, or more for a harvest. */
  readonly days: number;
  /** A harvest that is open already: due before, and still to be done. */
  readonly open: boolean;
}

const OUTPUTS = 8;
const STAGGER_SECONDS = 8;
const DAY = 86_400;

/** The light of outputs 1–8 from `from` until `until`. */
export function lightCourse(
  bytes: Uint8Array,
  offsets: UtcOffsets,
  from: UtcSeconds,
  until: UtcSeconds,
): readonly OutputCourse[] {
  const stretches = onStretches(bytes, from, until);
  return stretches.map((list) => byDay(list, offsets));
}

interface Stretch {
  readonly from: number;
  readonly until: number;
  readonly level: number;
}

/** Per output, the stretches at which it is on, without the stagger. */
function onStretches(bytes: Uint8Array, from: number, until: number): Stretch[][] {
  const done: Stretch[][] = Array.from({ length: OUTPUTS }, () => []);
  const since: { at: number; level: number }[] = Array.from({ length: OUTPUTS }, () => ({
    at: from,
    level: 0,
  }));
  const close = (output: number, at: number): void => {
    const { at: begin, level } = itemAt(since, output);
    if (level > 0 && at > begin) itemAt(done, output).push({ from: begin, until: at, level });
  };
  for (const { utc, levels } of traceTable(bytes, from, until + STAGGER_SECONDS)) {
    for (let output = 0; output < OUTPUTS; output++) {
      const at = Math.max(from, utc - output);
      if (levels[output] === itemAt(since, output).level) continue;
      close(output, at);
      since[output] = { at, level: itemAt(levels, output) };
    }
  }
  for (let output = 0; output < OUTPUTS; output++) close(output, until);
  return done;
}

function byDay(stretches: readonly Stretch[], offsets: UtcOffsets): OutputCourse {
  const days = new Map<number, DayLight>();
  for (const { from, until, level } of stretches.flatMap((one) => cutAtMidnights(one, offsets))) {
    const { day, minute } = wallClock(offsets, utcSeconds(from));
    const before = days.get(day);
    const minutes = Math.round((until - from) / 60);
    days.set(day, {
      hours: (before?.hours ?? 0) + minutes / 60,
      pattern: `${before?.pattern ?? ''}${minute}+${minutes}@${level};`,
    });
  }
  return days;
}

/** Light round the clock has no beginning to belong to: cut at the wall clock's midnights. */
function cutAtMidnights(stretch: Stretch, offsets: UtcOffsets): Stretch[] {
  if (stretch.until - stretch.from < DAY) return [stretch];
  const parts: Stretch[] = [];
  let from = stretch.from;
  while (from < stretch.until) {
    const { day } = wallClock(offsets, utcSeconds(from));
    const until = Math.min(firstInstant(offsets, day + 1, 0), stretch.until);
    parts.push({ ...stretch, from, until });
    from = until;
  }
  return parts;
}

/** The visits of a table that are due after `from`, or open then, in order. */
export function dueVisits(table: Table, offsets: UtcOffsets, from: UtcSeconds): DueVisit[] {
  const now = wallClock(offsets, from);
  const groups = table.visits?.groups ?? [];
  const all = groups.flatMap(({ entries, bindings }) =>
    bindings.flatMap(({ startDay, zones }) =>
      entries.flatMap((entry) => {
        const first = table.baseDay + startDay + entry.from;
        const days = entry.form === 'open' ? entry.days : 1;
        return dueDays(entry, first).map((day) => ({
          kind: entry.kind,
          zones,
          day,
          minute: entry.at,
          days,
        }));
      }),
    ),
  );
  const past = (day: number, minute: number): boolean =>
    day < now.day || (day === now.day && minute <= now.minute);
  const coming = all
    .filter(({ day, minute, days }) => !past(day + days - 1, minute))
    .map((visit) => ({ ...visit, open: past(visit.day, visit.minute) }))
    .sort((a, b) => a.day - b.day || a.minute - b.minute);
  return together(coming);
}

/** Visits of one kind at one time as one, whichever way the table groups their zones. */
function together(visits: readonly DueVisit[]): DueVisit[] {
  const merged = new Map<string, DueVisit>();
  for (const visit of visits) {
    const name = `${visit.kind} ${visit.day} ${visit.minute} ${visit.days}`;
    const known = merged.get(name);
    merged.set(name, known ? { ...known, zones: known.zones | visit.zones } : visit);
  }
  return [...merged.values()];
}

type Entry = NonNullable<Table['visits']>['groups'][number]['entries'][number];

function dueDays(entry: Entry, first: number): number[] {
  switch (entry.form) {
    case 'every':
      return Array.from({ length: entry.count }, (_, i) => first + i * entry.every);
    case 'weekdays':
      return Array.from({ length: entry.days }, (_, i) => first + i).filter(
        (day) => entry.mask & (1 << weekday(civilDay(day))),
      );
    default:
      return [first];
  }
}

/** The last civil day of any track that the table binds; undefined: it gives no light at all. */
export function lastLight(table: Table): CivilDay | undefined {
  const lengths = table.tracks.map((track) => track.reduce((sum, run) => sum + run.days, 0));
  if (table.bindings.length === 0) return undefined;
  const lights = table.bindings.map(({ startDay, track }) => startDay + (lengths[track] ?? 0));
  return civilDay(table.baseDay + Math.max(...lights) - 1);
}

/** A second after which the table gives no more light: its offsets, tracks and visits lie before. */
export function endOfTable(table: Table): UtcSeconds {
  const lengths = table.tracks.map((track) => track.reduce((sum, run) => sum + run.days, 0));
  const lights = table.bindings.map(({ startDay, track }) => startDay + (lengths[track] ?? 0));
  return utcSeconds((table.baseDay + Math.max(0, ...lights) + 3) * DAY);
}

/**
 * What putting a new table on a controller changes from now on, and which days
 * of light would be lost.
 *
 * Always holds: facts only; `words.ts` beside it writes the sentences.
 */

import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { sure } from '../../../shared/assert.ts';
import { type Table, VISIT_KINDS, type VisitKind } from '../../../shared/table.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { type UtcSeconds, utcSeconds } from '../../../shared/units.ts';
import { type DueVisit, dueVisits, endOfTable, lightCourse, type OutputCourse } from './course.ts';
import type { LitPlace } from './lamp-zones.ts';

export interface Changes {
  /** No table on board before. */
  readonly first: boolean;
  /** Outputs that light up before or after, ascending. */
  readonly outputs: readonly OutputChange[];
  readonly visits: readonly VisitChange[];
}

export interface OutputChange {
  /** 1 is the first. */
  readonly output: number;
  readonly before: LightSum;
  readonly after: LightSum;
  /** Civil days whose light differs, ascending. */
  readonly differing: readonly number[];
  /** Hours on the differing days. */
  readonly hoursBefore: number;
  readonly hoursAfter: number;
  /** Civil days that have light before and none after. */
  readonly lost: readonly number[];
  /** Civil days that have light after. */
  readonly litAfter: ReadonlySet<number>;
}

/** All the light of an output from now on. */
export interface LightSum {
  readonly days: number;
  readonly hours: number;
  readonly firstDay: number | undefined;
  readonly lastDay: number | undefined;
}

export interface VisitChange {
  readonly kind: VisitKind;
  readonly before: number;
  readonly after: number;
  readonly same: boolean;
  readonly next: DueVisit | undefined;
}

/** Compares the table on board (undefined: none) with the new one, from `now` on; visits as far as `lastVisits`, a civil day. */
export function compareTables(
  before: Uint8Array | undefined,
  after: Uint8Array,
  offsets: UtcOffsets,
  now: UtcSeconds,
  lastVisits = Number.POSITIVE_INFINITY,
): Changes {
  const oldTable = before && tableOf(before);
  const newTable = sure(tableOf(after));
  const until = utcSeconds(Math.max(now, endOfTable(newTable), oldTable ? endOfTable(oldTable) : 0));
  const none: OutputCourse = new Map();
  const visitsOf = (table: Table): DueVisit[] =>
    dueVisits(table, offsets, now).filter(({ day }) => day <= lastVisits);
  const oldLight = before && oldTable ? lightCourse(before, offsets, now, until) : [];
  const newLight = lightCourse(after, offsets, now, until);
  return {
    first: oldTable === undefined,
    outputs: newLight.flatMap((course, i) => outputChange(i + 1, oldLight[i] ?? none, course)),
    visits: visitChanges(oldTable ? visitsOf(oldTable) : [], visitsOf(newTable)),
  };
}

function tableOf(bytes: Uint8Array): Table | undefined {
  const decoded = decodeTable(bytes);
  return decoded.ok ? decoded.table : undefined;
}

function outputChange(output: number, before: OutputCourse, after: OutputCourse): OutputChange[] {
  if (before.size === 0 && after.size === 0) return [];
  const days = [...new Set([...before.keys(), ...after.keys()])].sort((a, b) => a - b);
  const differing = days.filter((day) => before.get(day)?.pattern !== after.get(day)?.pattern);
  const hours = (course: OutputCourse): number =>
    differing.reduce((sum, day) => sum + (course.get(day)?.hours ?? 0), 0);
  return [
    {
      output,
      before: lightOf(before),
      after: lightOf(after),
      differing,
      hoursBefore: hours(before),
      hoursAfter: hours(after),
      lost: differing.filter((day) => !after.has(day)),
      litAfter: new Set(after.keys()),
    },
  ];
}

function lightOf(course: OutputCourse): LightSum {
  const days = [...course.keys()].sort((a, b) => a - b);
  const hours = [...course.values()].reduce((sum, day) => sum + day.hours, 0);
  return { days: days.length, hours, firstDay: days[0], lastDay: days[days.length - 1] };
}

function visitChanges(before: readonly DueVisit[], after: readonly DueVisit[]): VisitChange[] {
  const key = ({ zones, day, minute, days }: DueVisit): string => `${zones}/${day}/${minute}/${days}`;
  return VISIT_KINDS.flatMap((kind) => {
    const olds = before.filter((visit) => visit.kind === kind);
    const news = after.filter((visit) => visit.kind === kind);
    if (olds.length === 0 && news.length === 0) return [];
    const same = olds.map(key).join() === news.map(key).join();
    return [{ kind, before: olds.length, after: news.length, same, next: news[0] }];
  });
}

/** Days of light that a place loses. */
export interface Loss {
  readonly place: string;
  /** Civil days, ascending. */
  readonly days: readonly number[];
}

/**
 * The days on which a place had light and gets none any more. A lamp that is
 * dark on a day because the other side's is lit instead loses nothing.
 */
export function lostDays(changes: Changes, places: readonly LitPlace[]): readonly Loss[] {
  return places.flatMap(({ name, outputs }) => {
    const own = changes.outputs.filter(({ output }) => outputs.includes(output));
    const lost = new Set(own.flatMap((change) => change.lost));
    const days = [...lost].filter((day) => !own.some(({ litAfter }) => litAfter.has(day)));
    return days.length === 0 ? [] : [{ place: name, days: days.sort((a, b) => a - b) }];
  });
}

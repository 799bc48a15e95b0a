/**
 * What a schedule table asks of each output at an instant, read from the
 * table's bytes in place, as the chip does.
 *
 * Always holds: the answers are functions of table and time alone; `spanAt`
 * keeps its last answer for each output only to be quick. Times are UTC seconds
 * from 2000; inside, minutes and seconds count from the table's base day.
 */

import { itemAt } from '../shared/assert.ts';
import {
  DARK,
  levelByte,
  SECTION,
  TABLE_CRC_BYTES,
  TABLE_HEADER_BYTES,
  type Table,
} from '../shared/table.ts';
import { decodeTable } from '../shared/table-decode.ts';

const DAY_SECONDS = 86_400;
const QUARTER_SECONDS = 900;
export const OUTPUTS = 8;

/** A table ready to be evaluated. */
export interface Schedule {
  /** The table's bytes; evaluation reads them in place. */
  readonly bytes: Uint8Array;
  /** Decoded form, for what is not evaluated each second: visits, limits, pulse, room. */
  readonly table: Table;
  /** UTC second of base day, 00:00 UTC. */
  readonly base: number;
  readonly offsets: { readonly at: number; readonly end: number };
  /** Where each pattern and each track begins in `bytes`. */
  readonly patternAt: readonly number[];
  readonly trackAt: readonly number[];
  readonly bindings: readonly BoundTrack[];
  /** Outputs that any binding has, bit 0 is output 1. */
  readonly outputs: number;
  /** Last span of each output. */
  readonly memo: LitSpan[];
}

interface BoundTrack {
  readonly outputs: number;
  readonly track: number;
  readonly startDay: number;
  readonly steady: number | undefined;
}

/** A stretch [from, until) of UTC seconds in which an output's level, without lag, is constant. */
export interface LitSpan {
  readonly from: number;
  readonly until: number;
  /** 0–16. */
  readonly level: number;
}

/** The schedule in `bytes`, or undefined when they are no table. */
export function openSchedule(bytes: Uint8Array): Schedule | undefined {
  const decoded = decodeTable(bytes);
  if (!decoded.ok) return undefined;
  const sections = findSections(bytes);
  const part = (tag: number): { at: number; end: number } => sections.get(tag) ?? { at: 0, end: 0 };
  const trackAt = findTracks(bytes, part(SECTION.tracks));
  const bindings = findBindings(bytes, part(SECTION.bindings), trackAt);
  return {
    bytes,
    table: decoded.table,
    base: decoded.table.baseDay * DAY_SECONDS,
    offsets: part(SECTION.offsets),
    patternAt: findPatterns(bytes, part(SECTION.patterns)),
    trackAt,
    bindings,
    outputs: bindings.reduce((mask, binding) => mask | binding.outputs, 0),
    memo: Array.from({ length: OUTPUTS }, () => ({ from: 0, until: 0, level: 0 })),
  };
}

const u16 = (bytes: Uint8Array, at: number): number => itemAt(bytes, at) | (itemAt(bytes, at + 1) << 8);
const i8 = (bytes: Uint8Array, at: number): number => (itemAt(bytes, at) << 24) >> 24;

function findSections(bytes: Uint8Array): Map<number, { at: number; end: number }> {
  const sections = new Map<number, { at: number; end: number }>();
  for (let at = TABLE_HEADER_BYTES; at < bytes.length - TABLE_CRC_BYTES; ) {
    const head = u16(bytes, at);
    const end = at + 2 + (head & 0xfff);
    sections.set(head >> 12, { at: at + 2, end });
    at = end;
  }
  return sections;
}

function findPatterns(bytes: Uint8Array, part: { at: number; end: number }): number[] {
  const found: number[] = [];
  for (let at = part.at; at < part.end; at += 4 + 2 * ((u16(bytes, at) >> 11) & 15)) found.push(at);
  return found;
}

/** Length in bytes of the run at `at`. */
function runBytes(bytes: Uint8Array, at: number): number {
  const head = itemAt(bytes, at);
  return head & 0x40 ? 3 + (head & 0x3f) : 2;
}

function findTracks(bytes: Uint8Array, part: { at: number; end: number }): number[] {
  const found: number[] = [];
  let begins = true;
  for (let at = part.at; at < part.end; at += runBytes(bytes, at)) {
    if (begins) found.push(at);
    begins = (itemAt(bytes, at) & 0x80) !== 0;
  }
  return found;
}

function findBindings(
  bytes: Uint8Array,
  part: { at: number; end: number },
  trackAt: readonly number[],
): BoundTrack[] {
  const found: BoundTrack[] = [];
  for (let at = part.at; at < part.end; ) {
    const word = u16(bytes, at + 2);
    const steady = word & 0x8000 ? i8(bytes, at + 4) : undefined;
    const track = itemAt(trackAt, itemAt(bytes, at + 1));
    found.push({ outputs: itemAt(bytes, at), track, startDay: word & 0x7fff, steady });
    at += steady === undefined ? 4 : 5;
  }
  return found;
}

/** The wall clock's offset in quarter hours at `local` (seconds from the base day), and until when. */
function offsetSpan(schedule: Schedule, seconds: number): { quarters: number; until: number } {
  const { bytes, offsets } = schedule;
  if (offsets.end === 0) return { quarters: 0, until: Number.POSITIVE_INFINITY };
  let quarters = i8(bytes, offsets.at);
  for (let at = offsets.at + 1; at < offsets.end; at += 4) {
    const change = 60 * changeMinute(bytes, at);
    if (seconds < change) return { quarters, until: change };
    quarters = i8(bytes, at + 3);
  }
  return { quarters, until: Number.POSITIVE_INFINITY };
}

const changeMinute = (bytes: Uint8Array, at: number): number =>
  u16(bytes, at) | (itemAt(bytes, at + 2) << 16);

/** First minute of UTC from the base day at which the wall clock reads minute `wall` of its days. */
function firstMinute(schedule: Schedule, wall: number): number {
  const { bytes, offsets } = schedule;
  if (offsets.end === 0) return wall;
  let minute = wall - 15 * i8(bytes, offsets.at);
  for (let at = offsets.at + 1; at < offsets.end; at += 4) {
    const change = changeMinute(bytes, at);
    if (minute < change) return minute;
    minute = Math.max(wall - 15 * i8(bytes, at + 3), change);
  }
  return minute;
}

/** Seconds from the base day of the instant at which a binding's clock first reads `minute` of `day`. */
function startInstant(schedule: Schedule, steady: number | undefined, day: number, minute: number): number {
  const wall = 1440 * day + minute;
  return 60 * (steady === undefined ? firstMinute(schedule, wall) : wall - 15 * steady);
}

/** The pattern of the track at `at` on its day `day`, or DARK. */
function patternOn(bytes: Uint8Array, at: number, day: number): number {
  if (day < 0) return DARK;
  let left = day;
  for (let run = at; ; run += runBytes(bytes, run)) {
    const head = itemAt(bytes, run);
    if (left < itemAt(bytes, run + 1)) {
      if ((head & 0x40) === 0) return head & 0x3f;
      return itemAt(bytes, run + 3 + (Math.floor(left / itemAt(bytes, run + 2)) % (head & 0x3f)));
    }
    if (head & 0x80) return DARK;
    left -= itemAt(bytes, run + 1);
  }
}

/** Level of one binding at `seconds` from the base day, and the next second at which it could differ. */
function bindingSpan(
  schedule: Schedule,
  binding: BoundTrack,
  seconds: number,
): { level: number; until: number } {
  const { bytes } = schedule;
  const { steady } = binding;
  const offset =
    steady === undefined
      ? offsetSpan(schedule, seconds)
      : { quarters: steady, until: Number.POSITIVE_INFINITY };
  const ahead = QUARTER_SECONDS * offset.quarters;
  const today = Math.floor((seconds + ahead) / DAY_SECONDS);
  // While the clock shows the same day, only the edges of these four days matter.
  let until = Math.min(offset.until, (today + 1) * DAY_SECONDS - ahead);
  for (let day = today + 1; day >= today - 2; day--) {
    const pattern = patternOn(bytes, binding.track, day - binding.startDay);
    if (pattern === DARK) continue;
    const at = itemAt(schedule.patternAt, pattern);
    const minute = u16(bytes, at) & 0x7ff;
    const start = startInstant(schedule, steady, day, minute);
    if (seconds < start) {
      until = Math.min(until, start);
      continue;
    }
    if ((u16(bytes, at) & 0x8000) === 0) return segmentSpan(bytes, at, start, seconds, until);
    const end = startInstant(schedule, steady, day + 1, minute);
    if (seconds < end) return segmentSpan(bytes, at, start, seconds, Math.min(until, end));
  }
  return { level: 0, until };
}

function segmentSpan(
  bytes: Uint8Array,
  at: number,
  start: number,
  seconds: number,
  until: number,
): { level: number; until: number } {
  const head = u16(bytes, at);
  const segments = ((head >> 11) & 15) + 1;
  let end = start;
  for (let segment = 1; segment <= segments; segment++) {
    const word = u16(bytes, at + 2 * segment);
    end += 60 * (word & 0x7ff);
    if (seconds < end) return { level: word >> 11, until: Math.min(until, end) };
    if (segment === segments && head & 0x8000) return { level: word >> 11, until };
  }
  return { level: 0, until };
}

/** The span that holds UTC second `t` for `output` (1–8), without lag. Steps of a day at most. */
export function spanAt(schedule: Schedule, output: number, t: number): LitSpan {
  const known = itemAt(schedule.memo, output - 1);
  if (t >= known.from && t < known.until) return known;
  let level = 0;
  let until = Number.POSITIVE_INFINITY;
  for (const binding of schedule.bindings) {
    if ((binding.outputs & (1 << (output - 1))) === 0) continue;
    const span = bindingSpan(schedule, binding, t - schedule.base);
    level = Math.max(level, span.level);
    until = Math.min(until, span.until + schedule.base);
  }
  const found = { from: t, until, level };
  schedule.memo[output - 1] = found;
  return found;
}

/** Level (0–16) of `output` (1–8) at UTC second `t`, before lag. */
export function levelAt(schedule: Schedule, output: number, t: number): number {
  return spanAt(schedule, output, t).level;
}

/** What the table alone asks for at `t`, with each output's lag: eight bytes, output 1 first. */
export function targetsAt(schedule: Schedule, t: number, into = new Uint8Array(OUTPUTS)): Uint8Array {
  for (let output = 1; output <= OUTPUTS; output++) {
    into[output - 1] = levelByte(levelAt(schedule, output, t - (output - 1)));
  }
  return into;
}

/**
 * The next second after `t` at which `targetsAt` could change (it may turn out
 * not to); Infinity when it never does.
 */
export function nextChange(schedule: Schedule, t: number): number {
  let next = Number.POSITIVE_INFINITY;
  for (let output = 1; output <= OUTPUTS; output++) {
    if ((schedule.outputs & (1 << (output - 1))) === 0) continue;
    const lag = output - 1;
    next = Math.min(next, spanAt(schedule, output, t - lag).until + lag);
  }
  return next;
}

/** The wall clock's UTC offset at `t`, quarter hours; 0 without a table. */
export function scheduleQuartersAt(schedule: Schedule | undefined, t: number): number {
  return schedule ? offsetSpan(schedule, t - schedule.base).quarters : 0;
}

/** The civil day (from 2000-01-01) that the wall clock shows at `t`; UTC without a table. */
export function scheduleDayAt(schedule: Schedule | undefined, t: number): number {
  return Math.floor((t + QUARTER_SECONDS * scheduleQuartersAt(schedule, t)) / DAY_SECONDS);
}

/** Minute of the civil day that the wall clock shows at `t`. */
export function minuteOfDayAt(schedule: Schedule | undefined, t: number): number {
  const wall = t + QUARTER_SECONDS * scheduleQuartersAt(schedule, t);
  return Math.floor((wall - DAY_SECONDS * Math.floor(wall / DAY_SECONDS)) / 60);
}

/** The first UTC second at which the wall clock reads `minute` of civil day `day` (from 2000-01-01). */
export function scheduleInstant(schedule: Schedule | undefined, day: number, minute: number): number {
  if (!schedule) return DAY_SECONDS * day + 60 * minute;
  return schedule.base + startInstant(schedule, undefined, day - schedule.table.baseDay, minute);
}

/** The first second after `t` at which the wall clock shows another day, if nothing changes before. */
export function nextDaySecond(schedule: Schedule | undefined, t: number): number {
  const ahead = QUARTER_SECONDS * scheduleQuartersAt(schedule, t);
  const midnight = (Math.floor((t + ahead) / DAY_SECONDS) + 1) * DAY_SECONDS - ahead;
  if (!schedule) return midnight;
  return Math.min(midnight, schedule.base + offsetSpan(schedule, t - schedule.base).until);
}

/** A change of levels: the UTC second and the eight bytes, output 1 first. */
export interface TraceEntry {
  readonly utc: number;
  readonly levels: Uint8Array;
}

/**
 * What the table in `bytes` asks for from `fromUtc` to before `untilUtc`, lag
 * included: the state at `fromUtc`, then one entry a change. Throws a RangeError
 * when `bytes` are no table.
 */
export function* traceTable(bytes: Uint8Array, fromUtc: number, untilUtc: number): Iterable<TraceEntry> {
  const schedule = openSchedule(bytes);
  if (!schedule) throw new RangeError('these bytes are not a schedule table');
  let shown = targetsAt(schedule, fromUtc);
  yield { utc: fromUtc, levels: shown };
  for (let utc = nextChange(schedule, fromUtc); utc < untilUtc; utc = nextChange(schedule, utc)) {
    const levels = targetsAt(schedule, utc);
    if (levels.every((level, output) => level === shown[output])) continue;
    shown = levels;
    yield { utc, levels };
  }
}

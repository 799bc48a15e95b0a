/**
 * Decoded table → bytes, with one annotated field a line for the listing.
 *
 * Always holds: every byte of the table belongs to exactly one field, in order.
 */

import { clockTime } from './civil.ts';
import { crc32 } from './crc.ts';
import {
  DARK,
  type Field,
  type Pattern,
  type Run,
  SECTION,
  TABLE_CRC_BYTES,
  TABLE_HEADER_BYTES,
  TABLE_VERSION,
  type Table,
  type TablePart,
  VISIT_KINDS,
  type VisitEntry,
  type VisitGroup,
} from './table.ts';

/** A table's bytes and what each of them says. */
export interface Encoded {
  readonly bytes: Uint8Array;
  readonly fields: readonly Field[];
}

class Writer {
  readonly bytes: number[] = [];
  readonly fields: Field[] = [];

  /** Writes `values` (each already cut to its size) as one field. */
  field(part: TablePart, meaning: string, values: readonly number[]): void {
    this.fields.push({ offset: this.bytes.length, bytes: Uint8Array.from(values), part, meaning });
    this.bytes.push(...values);
  }

  /** Appends a section: head, then the fields of `body`. */
  section(name: keyof typeof SECTION, body: Writer): void {
    const head = (SECTION[name] << 12) | body.bytes.length;
    this.field(name, `section ${SECTION[name]}, ${name}: ${body.bytes.length} bytes`, u16(head));
    for (const field of body.fields) this.field(name, field.meaning, [...field.bytes]);
  }
}

const u8 = (value: number): number[] => [value & 0xff];
const u16 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff];
const u24 = (value: number): number[] => [...u16(value), (value >> 16) & 0xff];
const u32BigEndian = (value: number): number[] => [24, 16, 8, 0].map((shift) => (value >>> shift) & 0xff);

/** The bytes of a table. The caller keeps counts and sizes within `table.ts`'s limits (an assertion otherwise). */
export function encodeTable(table: Table): Encoded {
  const body = new Writer();
  writeSections(table, body);
  const length = TABLE_HEADER_BYTES + body.bytes.length + TABLE_CRC_BYTES;
  const whole = new Writer();
  whole.field('frame', 'a schedule table', [0x4c, 0x57]);
  whole.field('frame', `version ${TABLE_VERSION}`, u8(TABLE_VERSION));
  whole.field('frame', `${length} bytes in all`, u16(length));
  whole.field('frame', `base day ${table.baseDay} after 2000-01-01`, u16(table.baseDay));
  whole.field('frame', 'plan digest', u32BigEndian(table.digest));
  for (const field of body.fields) whole.field(field.part, field.meaning, [...field.bytes]);
  const crc = crc32(Uint8Array.from(whole.bytes));
  whole.field('frame', 'CRC-32', [...u16(crc & 0xffff), ...u16(crc >>> 16)]);
  return { bytes: Uint8Array.from(whole.bytes), fields: whole.fields };
}

function writeSections(table: Table, out: Writer): void {
  if (table.initialQuarters !== 0 || table.changes.length > 0) out.section('offsets', offsetsBody(table));
  if (table.patterns.length > 0) out.section('patterns', patternsBody(table.patterns));
  if (table.tracks.length > 0) out.section('tracks', tracksBody(table));
  if (table.bindings.length > 0) out.section('bindings', bindingsBody(table));
  if (table.limits) {
    const body = new Writer();
    body.field('limits', `dwell ${table.limits.dwellSeconds} s`, u16(table.limits.dwellSeconds));
    body.field(
      'limits',
      `longest on ${table.limits.longestOnMinutes} min (0: no limit)`,
      u16(table.limits.longestOnMinutes),
    );
    out.section('limits', body);
  }
  if (table.visits) out.section('visits', visitsBody(table.visits.zoneCount, table.visits.groups));
  if (table.pulse) out.section('pulse', pulseBody(table.pulse));
  if (table.room) {
    const body = new Writer();
    body.field('room', `low ${table.room.low / 16} °C`, u16(table.room.low));
    body.field('room', `high ${table.room.high / 16} °C`, u16(table.room.high));
    out.section('room', body);
  }
}

function offsetsBody(table: Table): Writer {
  const body = new Writer();
  body.field(
    'offsets',
    `${offsetText(table.initialQuarters)} before the first change`,
    u8(table.initialQuarters),
  );
  for (const change of table.changes) {
    const when = `day ${Math.floor(change.minute / 1440)} ${clockTime(change.minute)} UTC`;
    body.field('offsets', `from ${when} ${offsetText(change.quarters)}`, [
      ...u24(change.minute),
      change.quarters & 0xff,
    ]);
  }
  return body;
}

/** `UTC+05:45` of 23 quarter hours. */
export function offsetText(quarters: number): string {
  const size = Math.abs(quarters) * 15;
  return `UTC${quarters < 0 ? '−' : '+'}${clockTime(size)}`;
}

function patternsBody(patterns: readonly Pattern[]): Writer {
  const body = new Writer();
  patterns.forEach((pattern, index) => {
    const head = pattern.start | ((pattern.segments.length - 1) << 11) | (pattern.continuous ? 0x8000 : 0);
    const round = pattern.continuous ? ', round the clock' : '';
    body.field('patterns', `pattern ${index}: from ${clockTime(pattern.start)}${round}`, u16(head));
    for (const segment of pattern.segments) {
      const what = segment.level === 0 ? 'off' : segment.level === 16 ? 'full' : `${segment.level}/16`;
      body.field('patterns', `  ${segment.length} min ${what}`, u16(segment.length | (segment.level << 11)));
    }
  });
  return body;
}

const patternName = (pattern: number): string => (pattern === DARK ? 'dark' : `pattern ${pattern}`);

function tracksBody(table: Table): Writer {
  const body = new Writer();
  table.tracks.forEach((track, index) => {
    track.forEach((run, at) => {
      const text = `${at === 0 ? `track ${index}: ` : '  then '}${runText(run)}`;
      body.field('tracks', text, runBytes(run, at === track.length - 1));
    });
  });
  return body;
}

function runText(run: Run): string {
  if (run.kind === 'plain') return `${run.days} days ${patternName(run.pattern)}`;
  return `${run.days} days, ${run.period} days each of ${run.patterns.map(patternName).join(', ')} in turn`;
}

function runBytes(run: Run, last: boolean): number[] {
  const end = last ? 0x80 : 0;
  if (run.kind === 'plain') return [end | run.pattern, run.days];
  return [end | 0x40 | run.patterns.length, run.days, run.period, ...run.patterns];
}

function bindingsBody(table: Table): Writer {
  const body = new Writer();
  for (const binding of table.bindings) {
    const steady = binding.steadyQuarters;
    const clock = steady === undefined ? '' : `, steady at ${offsetText(steady)}`;
    body.field(
      'bindings',
      `outputs ${maskText(binding.outputs)}: track ${binding.track} from day ${binding.startDay}${clock}`,
      [
        binding.outputs,
        binding.track,
        ...u16(binding.startDay | (steady === undefined ? 0 : 0x8000)),
        ...(steady === undefined ? [] : u8(steady)),
      ],
    );
  }
  return body;
}

/** `1, 3` of a mask whose bits 0 and 2 are set. */
export function maskText(mask: number): string {
  const numbers: number[] = [];
  for (let bit = 0; bit < 16; bit++) if (mask & (1 << bit)) numbers.push(bit + 1);
  return numbers.join(', ');
}

function visitsBody(zoneCount: number, groups: readonly VisitGroup[]): Writer {
  const body = new Writer();
  body.field('visits', `${zoneCount} zones`, u8(zoneCount));
  for (const group of groups) {
    const head = ((group.entries.length - 1) << 4) | (group.bindings.length - 1);
    body.field(
      'visits',
      `group of ${group.entries.length} visits for ${group.bindings.length} starts`,
      u8(head),
    );
    for (const entry of group.entries) body.field('visits', `  ${entryText(entry)}`, entryBytes(entry));
    for (const binding of group.bindings) {
      const mask = zoneCount > 8 ? u16(binding.zones) : u8(binding.zones);
      body.field('visits', `  zones ${maskText(binding.zones)} from day ${binding.startDay}`, [
        ...u16(binding.startDay),
        ...mask,
      ]);
    }
  }
  return body;
}

function entryText(entry: VisitEntry): string {
  const head = `${entry.kind} at ${clockTime(entry.at)}, day ${entry.from}`;
  if (entry.form === 'every') return `${head}, every ${entry.every} days, ${entry.count} times`;
  if (entry.form === 'weekdays')
    return `${head} to ${entry.from + entry.days - 1}, on weekdays ${maskText(entry.mask)}`;
  return entry.form === 'once' ? head : `${head}, open ${entry.days} days`;
}

const FORM = { every: 0, weekdays: 1, once: 2, open: 3 } as const;

function entryBytes(entry: VisitEntry): number[] {
  const head = u16(entry.at | (VISIT_KINDS.indexOf(entry.kind) << 11) | (FORM[entry.form] << 14));
  if (entry.form === 'every') return [...head, entry.from, entry.every, entry.count];
  if (entry.form === 'weekdays') return [...head, entry.from, entry.mask, entry.days];
  return entry.form === 'once' ? [...head, entry.from] : [...head, entry.from, entry.days];
}

function pulseBody(pulse: NonNullable<Table['pulse']>): Writer {
  const body = new Writer();
  const how =
    [pulse.sound ? 'sound' : '', pulse.light ? 'light' : ''].filter(Boolean).join(' and ') || 'none';
  body.field('pulse', `pulse: ${how}`, u8((pulse.sound ? 1 : 0) | (pulse.light ? 2 : 0)));
  for (const [from, until] of pulse.hours) {
    const end = until === 1440 ? '24:00' : clockTime(until);
    body.field('pulse', `visiting hours ${clockTime(from)} to ${end}`, [...u16(from), ...u16(until)]);
  }
  return body;
}

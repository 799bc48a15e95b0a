/**
 * Bytes → decoded table, or the reason why they are none.
 *
 * Always holds: never throws; reads nothing before length and CRC are right;
 * accepts exactly what `encodeTable` can write within the limits.
 */

import { itemAt } from './assert.ts';
import { crc32 } from './crc.ts';
import {
  type Binding,
  DARK,
  type Decoded,
  type Limits,
  MAX_PATTERNS,
  type OffsetChange,
  type Pattern,
  type Pulse,
  type RoomBand,
  type Run,
  SECTION,
  type Segment,
  TABLE_CRC_BYTES,
  TABLE_HEADER_BYTES,
  TABLE_MAX_BYTES,
  TABLE_VERSION,
  type Table,
  type Track,
  VISIT_KINDS,
  type VisitBinding,
  type VisitEntry,
  type VisitForm,
  type VisitGroup,
  type Visits,
} from './table.ts';
import { civilDay } from './units.ts';

/** Contents that break the format; caught in `decodeTable`, never seen outside. */
class BadContents extends Error {}

class Reader {
  at = 0;
  constructor(readonly bytes: Uint8Array) {}

  get left(): number {
    return this.bytes.length - this.at;
  }
  u8(): number {
    const value = this.bytes[this.at++];
    if (value === undefined) throw new BadContents();
    return value;
  }
  i8(): number {
    return (this.u8() << 24) >> 24;
  }
  u16(): number {
    return this.u8() | (this.u8() << 8);
  }
  i16(): number {
    return (this.u16() << 16) >> 16;
  }
  u24(): number {
    return this.u16() | (this.u8() << 16);
  }
  /** Reads to the end of the body. */
  all<Item>(read: () => Item): Item[] {
    const items: Item[] = [];
    while (this.left > 0) items.push(read());
    return items;
  }
}

function must(condition: boolean): void {
  if (!condition) throw new BadContents();
}

/** Decodes `bytes`; longer input than the table's own length is refused, as is any damage. */
export function decodeTable(bytes: Uint8Array): Decoded {
  if (bytes.length < TABLE_HEADER_BYTES + TABLE_CRC_BYTES) return { ok: false, why: 'too short' };
  if (bytes[0] !== 0x4c || bytes[1] !== 0x57) return { ok: false, why: 'not a schedule table' };
  if (bytes[2] !== TABLE_VERSION) return { ok: false, why: 'newer version' };
  const length = itemAt(bytes, 3) | (itemAt(bytes, 4) << 8);
  if (length !== bytes.length || length > TABLE_MAX_BYTES) return { ok: false, why: 'wrong length' };
  const crcAt = length - TABLE_CRC_BYTES;
  const crc =
    itemAt(bytes, crcAt) |
    (itemAt(bytes, crcAt + 1) << 8) |
    (itemAt(bytes, crcAt + 2) << 16) |
    (itemAt(bytes, crcAt + 3) << 24);
  if (crc >>> 0 !== crc32(bytes.subarray(0, crcAt))) return { ok: false, why: 'damaged' };
  try {
    return { ok: true, table: readTable(bytes.subarray(0, crcAt)) };
  } catch (error) {
    if (error instanceof BadContents) return { ok: false, why: 'bad contents' };
    throw error;
  }
}

function readTable(bytes: Uint8Array): Table {
  const frame = new Reader(bytes);
  frame.at = 5;
  const baseDay = civilDay(frame.u16());
  const digest = [0, 1, 2, 3].reduce((sum) => ((sum << 8) | frame.u8()) >>> 0, 0);
  const bodies = readSections(frame);
  const body = (name: keyof typeof SECTION): Reader | undefined => bodies.get(SECTION[name]);
  const { initialQuarters, changes } = readOffsets(body('offsets'));
  const patterns = readPatterns(body('patterns'));
  const tracks = readTracks(body('tracks'), patterns.length);
  return {
    baseDay,
    digest,
    initialQuarters,
    changes,
    patterns,
    tracks,
    bindings: readBindings(body('bindings'), tracks.length),
    limits: readWhole(body('limits'), readLimits),
    visits: readWhole(body('visits'), readVisits),
    pulse: readWhole(body('pulse'), readPulse),
    room: readWhole(body('room'), readRoom),
  };
}

function readSections(frame: Reader): Map<number, Reader> {
  const bodies = new Map<number, Reader>();
  let previous = 0;
  while (frame.left > 0) {
    const head = frame.u16();
    const tag = head >> 12;
    const length = head & 0xfff;
    must(tag > previous && tag <= SECTION.room && length > 0 && length <= frame.left);
    bodies.set(tag, new Reader(frame.bytes.subarray(frame.at, frame.at + length)));
    frame.at += length;
    previous = tag;
  }
  return bodies;
}

/** Reads a section that must end where its contents end. */
function readWhole<Contents>(
  body: Reader | undefined,
  read: (body: Reader) => Contents,
): Contents | undefined {
  if (!body) return undefined;
  const contents = read(body);
  must(body.left === 0);
  return contents;
}

function readOffsets(body: Reader | undefined): { initialQuarters: number; changes: OffsetChange[] } {
  if (!body) return { initialQuarters: 0, changes: [] };
  const initialQuarters = body.i8();
  let previous = -1;
  const changes = body.all(() => {
    const minute = body.u24();
    must(minute > previous);
    previous = minute;
    return { minute, quarters: body.i8() };
  });
  return { initialQuarters, changes };
}

function readPatterns(body: Reader | undefined): Pattern[] {
  const patterns = body ? body.all(() => readPattern(body)) : [];
  must(patterns.length <= MAX_PATTERNS);
  return patterns;
}

function readPattern(body: Reader): Pattern {
  const head = body.u16();
  const start = head & 0x7ff;
  const segments: Segment[] = [];
  let total = 0;
  for (let left = ((head >> 11) & 15) + 1; left > 0; left--) {
    const word = body.u16();
    const segment = { length: word & 0x7ff, level: word >> 11 };
    must(segment.length >= 1 && segment.level <= 16);
    total += segment.length;
    segments.push(segment);
  }
  must(start < 1440 && total <= 1440);
  return { start, continuous: (head & 0x8000) !== 0, segments };
}

function readTracks(body: Reader | undefined, patternCount: number): Track[] {
  return body ? body.all(() => readTrack(body, patternCount)) : [];
}

function readTrack(body: Reader, patternCount: number): Track {
  const runs: Run[] = [];
  for (;;) {
    const head = body.u8();
    runs.push(readRun(body, head, patternCount));
    if (head & 0x80) return runs;
  }
}

function readRun(body: Reader, head: number, patternCount: number): Run {
  const days = body.u8();
  must(days >= 1);
  const low = head & 0x3f;
  const known = (pattern: number): boolean => pattern === DARK || pattern < patternCount;
  if ((head & 0x40) === 0) {
    must(known(low));
    return { kind: 'plain', days, pattern: low };
  }
  const period = body.u8();
  must(low >= 2 && low <= 62 && period >= 1);
  const patterns: number[] = [];
  for (let side = 0; side < low; side++) patterns.push(body.u8());
  must(patterns.every(known));
  return { kind: 'cycle', days, period, patterns };
}

function readBindings(body: Reader | undefined, trackCount: number): Binding[] {
  if (!body) return [];
  return body.all(() => {
    const outputs = body.u8();
    const track = body.u8();
    const word = body.u16();
    must(outputs !== 0 && track < trackCount);
    const steadyQuarters = word & 0x8000 ? body.i8() : undefined;
    return { outputs, track, startDay: word & 0x7fff, steadyQuarters };
  });
}

function readLimits(body: Reader): Limits {
  return { dwellSeconds: body.u16(), longestOnMinutes: body.u16() };
}

function readVisits(body: Reader): Visits {
  const zoneCount = body.u8();
  must(zoneCount >= 1 && zoneCount <= 16);
  return { zoneCount, groups: body.all(() => readGroup(body, zoneCount)) };
}

function readGroup(body: Reader, zoneCount: number): VisitGroup {
  const head = body.u8();
  const entries: VisitEntry[] = [];
  for (let left = (head >> 4) + 1; left > 0; left--) entries.push(readEntry(body));
  const bindings: VisitBinding[] = [];
  for (let left = (head & 15) + 1; left > 0; left--) {
    const startDay = body.u16();
    const zones = zoneCount > 8 ? body.u16() : body.u8();
    must(zones !== 0 && zones < 1 << zoneCount);
    bindings.push({ startDay, zones });
  }
  return { entries, bindings };
}

function readEntry(body: Reader): VisitEntry {
  const head = body.u16();
  const at = head & 0x7ff;
  const kind = VISIT_KINDS[(head >> 11) & 7];
  if (kind === undefined || at >= 1440) throw new BadContents();
  const from = body.u8();
  const form = readForm(body, head >> 14);
  must((form.form === 'open') === (kind === 'harvest'));
  return { kind, at, from, ...form };
}

function readForm(body: Reader, form: number): VisitForm {
  if (form === 2) return { form: 'once' };
  if (form === 3) {
    const days = body.u8();
    must(days >= 1);
    return { form: 'open', days };
  }
  const second = body.u8();
  const third = body.u8();
  must(second >= 1 && third >= 1 && (form === 0 || second < 128));
  return form === 0
    ? { form: 'every', every: second, count: third }
    : { form: 'weekdays', mask: second, days: third };
}

function readPulse(body: Reader): Pulse {
  const flags = body.u8();
  must(flags < 4);
  let previous = 0;
  const hours = body.all((): readonly [number, number] => {
    const from = body.u16();
    const until = body.u16();
    must(from >= previous && until > from && until <= 1440);
    previous = until;
    return [from, until];
  });
  return { sound: (flags & 1) !== 0, light: (flags & 2) !== 0, hours };
}

function readRoom(body: Reader): RoomBand {
  return { low: body.i16(), high: body.i16() };
}

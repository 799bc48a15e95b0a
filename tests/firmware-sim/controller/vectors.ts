/**
 * The vectors that every controller is held to (`shared/vectors/*.json`):
 * tables with levels at instants, log records, and recorded courses of events.
 *
 * Always holds: the same code gives the same vectors; levels in them come from
 * the naive evaluator, not from a controller.
 */

import fc from 'fast-check';
import type { Device, Trouble } from '../../../firmware-sim/device.ts';
import {
  minuteOfDayAt,
  openSchedule,
  scheduleDayAt,
  scheduleInstant,
  traceTable,
} from '../../../firmware-sim/schedule.ts';
import { makeSimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { encodeRecord, type LogBody } from '../../../shared/log.ts';
import { HOLDING } from '../../../shared/registers.ts';
import type { Table, VisitEntry } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { scheduleTable } from './arbitrary.ts';
import { ask, board, DAILY, DAY, flash, MONDAY, SECOND, START, setClock, write } from './host.ts';
import { NaiveTable } from './naive.ts';

export const hex = (bytes: Iterable<number>): string =>
  Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

const TABLES = 40;
const SEED = 20_260_216;
const EDGES = 12;

interface ScheduleVector {
  readonly table: string;
  /** UTC second, the eight output bytes at it. */
  readonly levels: [number, string][];
  /** UTC second, civil day from 2000-01-01, minute of the day. */
  readonly clock: [number, number, number][];
  /** Civil day, minute of the day, first UTC second at which the clock reads it. */
  readonly first: [number, number, number][];
}

function scheduleVector(table: Table): ScheduleVector {
  const { bytes } = encodeTable(table);
  const schedule = sure(openSchedule(bytes));
  const naive = new NaiveTable(table);
  const from = (table.baseDay - 1) * DAY;
  const edges = [...traceTable(bytes, from, from + 16 * DAY)].map(({ utc }) => utc);
  const step = Math.max(1, Math.floor(edges.length / EDGES));
  const chosen = edges.filter((_, index) => index % step === 0).flatMap((utc) => [utc - 1, utc]);
  const clocks = [from + 7, ...table.changes.flatMap(({ minute }) => [minute * 60 - 1, minute * 60])].map(
    (second, index) => (index === 0 ? second : second + table.baseDay * DAY),
  );
  return {
    table: hex(bytes),
    levels: chosen.map((utc) => [utc, hex(naive.bytes(utc))]),
    clock: clocks.map((utc) => [utc, scheduleDayAt(schedule, utc), minuteOfDayAt(schedule, utc)]),
    first: [0, 1, 5].flatMap((day) =>
      [0, 90, 150].map((minute): [number, number, number] => {
        const on = table.baseDay + day;
        return [on, minute, scheduleInstant(schedule, on, minute)];
      }),
    ),
  };
}

/** `schedule.json`. */
export function scheduleVectors(): { tables: ScheduleVector[] } {
  return { tables: fc.sample(scheduleTable, { numRuns: TABLES, seed: SEED }).map(scheduleVector) };
}

const time = utcSeconds(START + 12_345);
const tableEvent = { time, crc: 0xdeadbeef, tableSequence: 7, slot: 1 };
const BODIES: readonly LogBody[] = [
  { type: 'light', day: civilDay(MONDAY), onTime: [0, 1, 120, 240, 250, 7, 8, 9] },
  {
    type: 'proof',
    day: civilDay(MONDAY),
    crc: 0x1234,
    min: -128,
    mean: 45,
    max: 60,
    outsideMinutes: 300,
    resets: 2,
  },
  { type: 'boot', time, cause: 1, outageMinutes: 0xffffff, resets: 0 },
  { type: 'visit', time, kind: 3, outcome: 2, zones: 0x8001, lateMinutes: -720 },
  { type: 'hand', time, outputs: 0x81, level: 255, minutes: 720, staggered: 1 },
  { type: 'handEnd', time, outputs: 0x81, why: 1 },
  { type: 'workLight', time, begins: 1, seconds: 600 },
  { type: 'clockSet', time, forward: -5, oldSub: 200 },
  { type: 'fault', time, fault: 8, entered: 1, detail: 0xfffffff0 },
  { type: 'committed', ...tableEvent },
  { type: 'confirmed', ...tableEvent },
  { type: 'reverted', ...tableEvent, slot: 0x41 },
  { type: 'visitsPassed', time, count: 9 },
];

/** `log.json`: one record of each type, with its bytes. */
export function logVectors() {
  return {
    records: BODIES.map((body, index) => {
      const record = {
        sequence: index === 0 ? 0x010203 : index,
        partial: index === 1,
        estimated: index === 2,
        ...body,
      };
      return { record, bytes: hex(encodeRecord(record)) };
    }),
  };
}

/** Something done to a device at a virtual microsecond. */
export type Act = { readonly at: number } & (
  | { readonly receive: string }
  | { readonly button: boolean }
  | { readonly probe: number | null }
  | { readonly power: boolean }
  | { readonly openPort: true }
  | { readonly trouble: Trouble; readonly on: boolean }
);

/** What a device showed and stored. */
export interface Course {
  /** UTC second and the eight levels after the last change in it. */
  readonly levels: [number, string][];
  /** All bytes sent. */
  readonly sent: string;
  /** Log memory pages 0–127 that are not erased: page and bytes. */
  readonly log: [number, string][];
  readonly operations: number[];
}

export interface CourseVector {
  readonly name: string;
  readonly board: string;
  readonly utc: number;
  readonly clockRight: boolean;
  readonly probe: number;
  readonly acts: readonly Act[];
  readonly until: number;
  readonly course: Course;
}

const PROBE = 23 * 16;

/** Does `act` to a device. */
export function perform(device: Device, act: Act): void {
  if ('receive' in act) device.receive(Uint8Array.from(Buffer.from(act.receive, 'hex')));
  else if ('button' in act) device.setButton(act.button);
  else if ('probe' in act) device.setProbe(act.probe ?? undefined);
  else if ('power' in act) device.setPower(act.power);
  else if ('trouble' in act) device.setTrouble(act.trouble, act.on);
  else device.openPort();
}

/** Does all `acts` to `device`, each at its time, and tells what it showed. */
export function follow(
  device: Device & { readonly memories: { readonly log: Uint8Array } },
  acts: readonly Act[],
  until: number,
): Course {
  const levels = new Map<number, string>();
  device.onLevels = (utc, shown) => levels.set(utc, hex(shown));
  const sent: number[] = [];
  for (const act of acts) {
    device.run(act.at);
    sent.push(...device.takeSent());
    perform(device, act);
  }
  device.run(until);
  sent.push(...device.takeSent());
  const pages = Array.from({ length: 128 }, (_, page): [number, string] => [
    page,
    hex(device.memories.log.subarray(32 * page, 32 * page + 32)),
  ]);
  return {
    levels: [...levels],
    sent: hex(sent),
    log: pages.filter(([, bytes]) => bytes !== 'ff'.repeat(32)),
    operations: [...device.operations],
  };
}

/** A device that writes down what is done to it. */
function recording(device: Device): { device: Device; acts: Act[] } {
  const acts: Act[] = [];
  const act = (what: object): void => {
    const noted = { at: device.micros, ...what } as Act;
    acts.push(noted);
    perform(device, noted);
  };
  const recorder: Device = Object.create(device, {
    micros: { get: () => device.micros },
    utc: { get: () => device.utc },
    run: { value: (until: number) => device.run(until) },
    takeSent: { value: () => device.takeSent() },
    receive: { value: (bytes: Uint8Array) => act({ receive: hex(bytes) }) },
    setButton: { value: (button: boolean) => act({ button }) },
    setProbe: { value: (probe: number | undefined) => act({ probe: probe ?? null }) },
    setPower: { value: (power: boolean) => act({ power }) },
    openPort: { value: () => act({ openPort: true }) },
    setTrouble: { value: (trouble: Trouble, on: boolean) => act({ trouble, on }) },
  });
  return { device: recorder, acts };
}

/** Flashes `table` soon after UTC second `utc` has begun, so that all of it falls well within known seconds. */
function flashAt(device: Device, utc: number, table: Table): void {
  device.run((utc - START) * SECOND + SECOND / 10);
  flash(device, table);
}

/** Lets time pass to half past UTC second `utc`, well away from any edge. */
function halfPast(device: Device, utc: number): void {
  device.run((utc - START) * SECOND + SECOND / 2);
}

function press(device: Device): void {
  device.setButton(true);
  device.run(device.micros + SECOND / 5);
  device.setButton(false);
}

const LOOK: VisitEntry = { kind: 'look', at: 18 * 60, from: 0, form: 'every', every: 2, count: 20 };
const HARVEST: VisitEntry = { kind: 'harvest', at: 18 * 60, from: 1, form: 'open', days: 4 };
const RACK: Table = {
  ...DAILY,
  changes: [{ minute: 2 * 1440 + 60, quarters: 4 }],
  limits: { dwellSeconds: 3, longestOnMinutes: 15 * 60 },
  visits: { zoneCount: 3, groups: [{ entries: [LOOK, HARVEST], bindings: [{ startDay: 0, zones: 5 }] }] },
  pulse: { sound: true, light: true, hours: [[480, 1260]] },
  room: { low: 21 * 16, high: 27 * 16 },
};

/** What happens in each recorded course. */
const COURSES: Record<string, (device: Device) => void> = {
  'hand switching, work light, presses and a warm room over four days': (device) => {
    flashAt(device, START + 2, RACK);
    halfPast(device, START + 3 * 3600);
    ask(device, [5, 0, 4, 0xff, 0]);
    halfPast(device, START + 4 * 3600);
    ask(device, [15, 0, 0, 0, 4, 1, 5]);
    halfPast(device, START + 10 * 3600);
    device.setButton(true);
    halfPast(device, START + 10 * 3600 + 3);
    device.setButton(false);
    halfPast(device, START + 18 * 3600 + 60);
    press(device);
    device.setProbe(28 * 16);
    halfPast(device, START + 22 * 3600);
    device.setProbe(24 * 16);
    halfPast(device, START + DAY + 18 * 3600 + 120);
    press(device);
    halfPast(device, START + DAY + 19 * 3600);
    press(device);
    halfPast(device, START + 2 * DAY + 12 * 3600);
    write(device, HOLDING.visit, [0, 4, 0]);
    halfPast(device, START + 2 * DAY + 12 * 3600 + 10);
    write(device, HOLDING.visit, [0, 4, 1]);
    halfPast(device, START + 4 * DAY);
  },
  'power cuts, resets and a lost probe': (device) => {
    flashAt(device, START + 2, RACK);
    halfPast(device, START + 10 * 3600);
    device.openPort();
    halfPast(device, START + 10 * 3600 + 30);
    ask(device, [5, 0, 7, 0, 0]);
    halfPast(device, START + 10 * 3600 + 60);
    device.openPort();
    halfPast(device, START + 12 * 3600);
    device.setPower(false);
    halfPast(device, START + 15 * 3600);
    device.setPower(true);
    halfPast(device, START + 16 * 3600);
    device.setProbe(undefined);
    halfPast(device, START + 17 * 3600);
    device.setProbe(22 * 16);
    halfPast(device, START + DAY + 9 * 3600);
    device.setPower(false);
    halfPast(device, START + 20 * DAY);
    device.setPower(true);
    halfPast(device, START + 21 * DAY + 60);
  },
  'steps of the clock': (device) => {
    flashAt(device, START + 2, RACK);
    halfPast(device, START + 8 * 3600 - 100);
    setClock(device, START + 8 * 3600 + 10);
    halfPast(device, START + 8 * 3600);
    setClock(device, START + 8 * 3600 - 60);
    halfPast(device, START + 9 * 3600);
    setClock(device, START + 3 * DAY);
    halfPast(device, START + 10 * 3600);
    setClock(device, START + 10 * 3600);
    halfPast(device, START + DAY + 60);
  },
  'a table of other hours at noon, and a clock set ahead over the hour': (device) => {
    flashAt(device, START + 2, {
      ...DAILY,
      digest: 4,
      patterns: [{ ...itemAt(DAILY.patterns, 0), start: 13 * 60 }],
    });
    flashAt(device, START + 12 * 3600, DAILY);
    halfPast(device, START + 20 * 3600 - 60);
    setClock(device, START + 20 * 3600 + 5);
    halfPast(device, START + 21 * 3600);
  },
  'a trial that reverts, and one that is given up': (device) => {
    flashAt(device, START + 2, RACK);
    const { bytes } = encodeTable(DAILY);
    flashAt(device, START + 60, { ...DAILY, digest: 3 });
    halfPast(device, START + 120);
    for (const giveUp of [false, true]) {
      device.run(Math.ceil(device.micros / SECOND) * SECOND + SECOND / 10);
      write(device, HOLDING.begin, [bytes.length]);
      for (let at = 0; at < bytes.length; at += 32) {
        const part = bytes.subarray(at, at + 32);
        const words = Array.from({ length: Math.ceil(part.length / 2) }, (_, index) => {
          return (itemAt(part, 2 * index) << 8) | (part[2 * index + 1] ?? 0);
        });
        write(device, HOLDING.table + at / 2, words);
      }
      const crc = bytes.slice(-4).reverse();
      const session = (START & 0xffff || 1) + (giveUp ? 4 : 3);
      write(device, HOLDING.commit, [
        session,
        bytes.length,
        (itemAt(crc, 0) << 8) | itemAt(crc, 1),
        (itemAt(crc, 2) << 8) | itemAt(crc, 3),
      ]);
      halfPast(device, device.utc + (giveUp ? 30 : 300));
      if (giveUp) write(device, HOLDING.giveUp, [session]);
    }
    halfPast(device, START + 3600);
  },
};

function courseVector(name: string, live: (device: Device) => void): CourseVector {
  const make = () =>
    makeSimulatedDevice({ board: board(), utc: utcSeconds(START), clockRight: true, probe: PROBE });
  const { device, acts } = recording(make());
  live(device);
  const until = device.micros;
  const course = follow(make(), acts, until);
  return { name, board: board().id, utc: START, clockRight: true, probe: PROBE, acts, until, course };
}

/** `courses.json`. */
export function courseVectors(): { courses: CourseVector[] } {
  return { courses: Object.entries(COURSES).map(([name, live]) => courseVector(name, live)) };
}

/** All vector files by name. */
export const VECTOR_FILES: Readonly<Record<string, () => object>> = {
  'schedule.json': scheduleVectors,
  'log.json': logVectors,
  'courses.json': courseVectors,
};

/** The text of a vector file: one line an innermost list or object, so that changes can be read. */
export function vectorText(vectors: object): string {
  const lines: string[] = [];
  const write = (value: unknown, indent: string, head: string, tail: string): void => {
    const flat = JSON.stringify(value);
    const isLeaf = typeof value !== 'object' || value === null || flat.length <= 160;
    if (isLeaf) {
      lines.push(`${indent}${head}${flat}${tail}`);
      return;
    }
    const [open, close] = Array.isArray(value) ? ['[', ']'] : ['{', '}'];
    lines.push(`${indent}${head}${open}`);
    const entries = Object.entries(value);
    entries.forEach(([key, item], index) => {
      const comma = index === entries.length - 1 ? '' : ',';
      write(item, `${indent} `, Array.isArray(value) ? '' : `${JSON.stringify(key)}: `, comma);
    });
    lines.push(`${indent}${close}${tail}`);
  };
  write(vectors, '', '', '');
  return `${lines.join('\n')}\n`;
}

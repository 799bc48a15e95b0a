/** The replay against what a simulated controller's lamps truly showed. */

import { beforeAll, describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { FAULT, type LogRecord } from '../../../../shared/log.ts';
import type { Table } from '../../../../shared/table.ts';
import { decodeTable } from '../../../../shared/table-decode.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { civilDay } from '../../../../shared/units.ts';
import { replay } from '../../../../src/answers/review/replay.ts';
import { UNKNOWN_TABLE } from '../../../../src/answers/review/settle.ts';
import type { Story } from '../../../../src/answers/review/story.ts';
import { flashedCrc } from '../../../../src/archive/flashed.ts';
import {
  commit,
  DAILY,
  flash,
  MONDAY,
  pass,
  records,
  START,
  setClock,
  startedDevice,
  upload,
} from '../../../firmware-sim/controller/host.ts';
import { boards, day, sampleText } from '../visits/plan.ts';
import { type Happening, SimWorld } from './world.ts';

const DAY = 86_400;
const BEGIN = day('2026-03-28') * DAY + 11 * 3600;
let table: Uint8Array;
beforeAll(() => {
  table = itemAt(compilePlan(sampleText('pantry'), { boards }).tables, 0).encoded.bytes;
});

function storyOf(world: SimWorld, records: readonly LogRecord[] = world.records()): Story {
  const crc = flashedCrc(table);
  return replay({
    records,
    tables: new Map([[crc, table]]),
    before: crc,
    lostBefore: false,
    outputs: 8,
    readUntil: world.device.utc,
  });
}

function live(happenings: readonly Happening[], days: number, drift = 0): SimWorld {
  const world = new SimWorld(table, BEGIN, 23 * 16, drift);
  world.live(happenings, BEGIN + days * DAY);
  world.readLog();
  return world;
}

const at = (iso: string, clock: string): number => {
  const [hours, minutes] = clock.split(':').map(Number);
  return day(iso) * DAY + sure(hours) * 3600 + sure(minutes) * 60;
};
const cut = (from: number, minutes: number): Happening[] => [
  { at: from, act: (world) => world.device.setPower(false) },
  { at: from + minutes * 60, act: (world) => world.device.setPower(true) },
];

function decoded(bytes: Uint8Array): Table {
  const read = decodeTable(bytes);
  if (!read.ok) throw new Error(read.why);
  return read.table;
}

/** Seconds, over all outputs, in which the story and the truth differ. */
function difference(world: SimWorld, story: Story, from: number, until: number): number {
  const edges = [...world.shown.map((one) => one.at), ...story.changes.map((one) => one.at), from, until];
  const sorted = [...new Set(edges)].filter((one) => one >= from && one <= until).sort((a, b) => a - b);
  let seconds = 0;
  for (let i = 0; i + 1 < sorted.length; i++) {
    const truth = world.shown.findLast((one) => one.at <= itemAt(sorted, i))?.levels ?? new Uint8Array(8);
    const told = story.changes.findLast((one) => one.at <= itemAt(sorted, i))?.levels ?? new Uint8Array(8);
    seconds +=
      (itemAt(sorted, i + 1) - itemAt(sorted, i)) * truth.filter((level, n) => level !== told[n]).length;
  }
  return seconds;
}

const results = (story: Story): string[] => [...new Set(story.proofs.map((one) => one.result))];

describe('the replay', () => {
  it('of a quiet fortnight over a clock change is exact and proved', () => {
    const world = live([], 14);
    const story = storyOf(world);
    expect(results(story)).toEqual(['proved']);
    expect(story.proofs).toHaveLength(14);
    expect(difference(world, story, BEGIN + 60, BEGIN + 14 * DAY)).toBe(0);
    expect(story.outages).toEqual([]);
  });

  it('finds power cuts with their length, and proves what came after', () => {
    const from = at('2026-04-01', '10:20') + 17;
    const world = live([...cut(from, 95), ...cut(at('2026-04-03', '21:00'), 700)], 8);
    const story = storyOf(world);
    expect(results(story)).toEqual(['proved']);
    expect(story.outages).toHaveLength(2);
    expect(Math.abs(sure(itemAt(story.outages, 0).from) - from)).toBeLessThanOrEqual(30);
    expect(Math.abs(itemAt(story.outages, 0).until - from - 95 * 60)).toBeLessThanOrEqual(2);
    expect(difference(world, story, BEGIN + 60, BEGIN + 8 * DAY)).toBeLessThanOrEqual(2 * 8 * 32);
  });

  it('follows hand switching, its release, and the work light', () => {
    const world = live(
      [
        { at: at('2026-04-01', '03:00') + 5, act: (one) => one.hand(1, true) },
        { at: at('2026-04-01', '12:00') + 5, act: (one) => one.hand(2, false) },
        { at: at('2026-04-01', '12:04') + 5, act: (one) => one.release() },
        { at: at('2026-04-02', '22:30'), act: (one) => one.longPress() },
        { at: at('2026-04-02', '22:35'), act: (one) => one.longPress() },
        { at: at('2026-04-03', '22:30'), act: (one) => one.longPress() },
      ],
      8,
    );
    const story = storyOf(world);
    expect(results(story)).toEqual(['proved']);
    expect(story.hands).toHaveLength(2);
    expect(itemAt(story.hands, 1).until - itemAt(story.hands, 1).from).toBeLessThan(300);
    expect(difference(world, story, BEGIN + 60, BEGIN + 8 * DAY)).toBeLessThanOrEqual(40);
  });

  it('follows hand switching that a host asks for again and again', () => {
    const again = Array.from({ length: 30 }, (_, n) => ({
      at: at('2026-04-01', '03:00') + 5 + 120 * n,
      act: (one: SimWorld) => one.hand(1, true),
    }));
    const world = live(again, 8);
    const story = storyOf(world);
    expect(world.records().filter((record) => record.type === 'hand')).toHaveLength(1);
    expect(story.hands.map(({ from, until }) => until - from)).toEqual([29 * 120 + 600]);
    expect(results(story)).toEqual(['proved']);
    expect(difference(world, story, BEGIN + 60, BEGIN + 8 * DAY)).toBe(0);
    // Where the end was lost, what its record said is all that is known.
    const kept = world.records().filter((record) => record.type !== 'handEnd');
    expect(storyOf(world, kept).hands.map(({ from, until }) => until - from)).toEqual([600]);
  });

  it('follows restarts by watchdog and small settings of a drifting clock', () => {
    const world = live(
      [
        { at: at('2026-03-31', '12:00') + 30, act: (one) => one.device.reset('watchdog') },
        { at: at('2026-04-01', '12:00') + 30, act: (one) => one.device.reset('external') },
        { at: at('2026-04-04', '12:00') + 30, act: (one) => one.setClock() },
        { at: at('2026-04-06', '03:00') + 30, act: (one) => one.setClock() },
      ],
      12,
      60,
    );
    const story = storyOf(world);
    expect(results(story)).toEqual(['proved']);
    expect(story.settings).toHaveLength(2);
    expect(itemAt(story.settings, 0).forward).toBeLessThan(-30);
  });

  it('puts an estimated stretch where it truly was once the clock is set', () => {
    const from = at('2026-04-02', '10:00');
    const until = from + 5 * 3600;
    const world = live(
      [
        { at: from - 60, act: (one) => one.device.setTrouble('clock stopped', true) },
        ...cut(from, 300),
        { at: until + 5, act: (one) => one.device.setTrouble('clock stopped', false) },
        { at: at('2026-04-05', '15:00'), act: (one) => one.setClock() },
      ],
      12,
    );
    const story = storyOf(world);
    expect(story.estimated).toHaveLength(1);
    // A dead battery loses the last-alive minute too: the clock went on from the newest record, the end of 1 April (23:00 UTC).
    expect(
      Math.abs(sure(itemAt(story.estimated, 0).behind) - (until - at('2026-04-01', '23:00'))),
    ).toBeLessThan(70);
    expect(itemAt(story.outages, 0).from).toBeUndefined();
    expect(Math.abs(itemAt(story.outages, 0).until - until)).toBeLessThan(70);
    expect(difference(world, story, BEGIN + 60, at('2026-04-02', '00:00'))).toBe(0);
    expect(difference(world, story, until + 70, BEGIN + 12 * DAY)).toBeLessThan(8 * 200);
    expect(story.changes.find((one) => one.state === 'unknown')?.at).toBe(at('2026-04-01', '23:00'));
    expect(results(story)).toEqual(['proved', 'unproved']);
  });

  it('says unexplained when lamps did what no record tells', () => {
    const world = live([{ at: at('2026-04-01', '12:00') + 5, act: (one) => one.hand(1, false) }], 8);
    const kept = world.records().filter((record) => record.type !== 'hand' && record.type !== 'handEnd');
    const hidden = kept.map((record, i) => ({ ...record, sequence: i + 1 }));
    const story = storyOf(world, hidden);
    const odd = story.proofs.filter((one) => one.result === 'unexplained');
    expect(odd.map((one) => one.day)).toEqual([day('2026-04-01')]);
  });

  it('says unproved, not unexplained, where records were lost', () => {
    const world = live([{ at: at('2026-04-01', '12:00') + 5, act: (one) => one.hand(1, false) }], 8);
    const kept = world.records().filter((record) => record.type !== 'hand');
    const story = storyOf(world, kept);
    expect(story.lost).toHaveLength(1);
    expect(itemAt(story.lost, 0).records).toBe(1);
    expect(story.proofs.find((one) => one.day === day('2026-04-01'))?.result).toBe('unproved');
    expect(story.proofs.filter((one) => one.result === 'proved')).toHaveLength(7);
  });

  it('proves the day that a first flash begins, even when the table was thought to run before', () => {
    // 23:00 UTC, midnight by the table's clock an hour ahead. The controller says itself that it had none.
    const device = startedDevice(START + 23 * 3600);
    setClock(device, device.utc);
    const ahead = flash(device, { ...DAILY, baseDay: civilDay(MONDAY + 1), initialQuarters: 4 });
    pass(device, 3 * DAY);
    const { proofs } = replay({
      ...{
        records: records(device),
        tables: new Map([[flashedCrc(ahead), ahead]]),
        before: flashedCrc(ahead),
        lostBefore: false,
      },
      ...{ outputs: 8, readUntil: device.utc },
    });
    expect(proofs.map((one) => [one.day - MONDAY, one.result])).toEqual([
      [0, 'unproved'],
      [1, 'proved'],
      [2, 'proved'],
      [3, 'proved'],
    ]);
  });

  it('follows outputs to a table of other hours, back from a trial, and over a clock set ahead, to the second', () => {
    const { bytes: daily } = encodeTable(DAILY);
    const pattern = { ...itemAt(DAILY.patterns, 0), start: 20 * 60 };
    const nightly = encodeTable({ ...DAILY, digest: 5, patterns: [pattern] }).bytes;
    const world = new SimWorld(daily, START + 11 * 3600);
    const { device } = world;
    world.live(
      [
        { at: START + 12 * 3600, act: () => commit(device, upload(device, nightly), nightly) },
        { at: START + 13 * 3600, act: () => flash(device, decoded(nightly)) },
        { at: START + 14 * 3600, act: () => flash(device, DAILY) },
        { at: START + 20 * 3600 - 50, act: () => setClock(device, device.utc + 70) },
      ],
      START + 22 * 3600,
    );
    world.readLog();
    const story = replay({
      records: world.records(),
      tables: new Map([daily, nightly].map((bytes) => [flashedCrc(bytes), bytes])),
      before: flashedCrc(daily),
      lostBefore: false,
      outputs: 8,
      readUntil: START + 22 * 3600,
    });
    const changes = story.changes.length;
    expect(changes).toBeGreaterThanOrEqual(8 * 6);
    expect(difference(world, story, START + 11 * 3600 + 60, START + 20 * 3600 - 60)).toBe(0);
    // From the setting on the controller's seconds are ahead of true ones.
    expect(
      difference(
        { ...world, shown: world.shown.map((one) => ({ ...one, at: one.at + 70 })) } as SimWorld,
        story,
        START + 20 * 3600 + 20,
        START + 22 * 3600,
      ),
    ).toBe(0);
  });

  it('knows a fault from its leaving alone, when its entering could not be stored', () => {
    const from = at('2026-03-29', '20:00');
    const happenings: Happening[] = [
      { at: from + 5, act: (one) => one.device.setTrouble('bus held', true) },
      { at: from + 600, act: (one) => one.device.setTrouble('bus held', false) },
    ];
    const { faults } = storyOf(live(happenings, 3));
    const bus = faults.filter((one) => one.fault === FAULT.clockMissing);
    expect(bus).toHaveLength(1);
    expect(itemAt(bus, 0).from - from).toBeGreaterThanOrEqual(4);
    expect(itemAt(bus, 0).from - from).toBeLessThanOrEqual(6);
    expect(sure(itemAt(bus, 0).until) - from).toBeLessThanOrEqual(660);
  });

  it('takes a fault that outlives a power cut for one, and lets one that does not end with it', () => {
    const hot: Happening = { at: at('2026-04-01', '06:00'), act: (one) => one.device.setProbe(30 * 16) };
    const cool: Happening = { at: at('2026-04-02', '12:20'), act: (one) => one.device.setProbe(23 * 16) };
    const during = cut(at('2026-04-02', '12:00'), 60);
    const rooms = (happenings: readonly Happening[]) =>
      storyOf(live(happenings, 8)).faults.filter((one) => one.fault === FAULT.roomOutside);
    const later = { ...cool, at: at('2026-04-03', '12:00') };
    // Told after two hours, over at the next whole minute's reading.
    expect(rooms([hot, ...during, later])).toMatchObject([
      { from: at('2026-04-01', '08:00'), until: at('2026-04-03', '12:01') },
    ]);
    const [only, ...more] = rooms([hot, ...during, cool]);
    expect(more).toEqual([]);
    expect(Math.abs(sure(sure(only).until) - at('2026-04-02', '12:00'))).toBeLessThanOrEqual(30);
  });

  it('finds the table that ran when the record of its flash was lost', () => {
    const world = live([], 8);
    const kept = world.records().filter((record) => record.sequence !== 2);
    const other = encodeTable({ ...decoded(table), digest: 1, bindings: [] }).bytes;
    const tables = new Map([other, table].map((bytes) => [flashedCrc(bytes), bytes]));
    const story = replay({
      records: kept,
      tables,
      before: flashedCrc(other),
      lostBefore: false,
      outputs: 8,
      readUntil: undefined,
    });
    expect(story.tables.map((one) => one.crc)).toEqual([flashedCrc(other), flashedCrc(table)]);
    // The first day was begun by the start, so only the second can tell.
    expect(story.proofs.map((one) => one.result)).toEqual(['unproved', ...Array(7).fill('proved')]);
  });

  it('of a log whose beginning was overwritten finds the table by its days, and says how it knows', () => {
    const world = live([{ at: at('2026-04-05', '12:00') + 5, act: (one) => one.hand(1, false) }], 14);
    const kept = world.records().filter((record) => record.sequence > 9);
    const other = encodeTable({ ...decoded(table), digest: 1, tracks: [], bindings: [] }).bytes;
    const tables = new Map([table, other].map((bytes) => [flashedCrc(bytes), bytes]));
    const flashedAt = new Map([[flashedCrc(table), BEGIN]]);
    for (const before of [undefined, flashedCrc(other), flashedCrc(table)]) {
      const story = replay({
        ...{ records: kept, tables, flashedAt, before, lostBefore: true },
        ...{ outputs: 8, readUntil: undefined },
      });
      expect(story.tables.map((one) => one.crc)).toEqual([flashedCrc(table)]);
      expect(new Set(story.proofs.map((one) => one.result))).toEqual(new Set(['proved']));
      expect(story.lost).toMatchObject([
        { records: 9, settled: { crc: flashedCrc(table), flashedAt: BEGIN } },
      ]);
      expect(story.lost[0]?.settled?.days).toBe(story.proofs.length);
      expect(difference(world, story, story.from, BEGIN + 14 * DAY - DAY)).toBe(0);
    }
  });

  it('where no table in the archive agrees with several days, knows none', () => {
    const kept = live([], 14)
      .records()
      .filter((record) => record.sequence > 9);
    const other = encodeTable({ ...decoded(table), digest: 1, tracks: [], bindings: [] }).bytes;
    const story = replay({
      ...{ records: kept, tables: new Map([[flashedCrc(other), other]]), before: flashedCrc(other) },
      ...{ lostBefore: true, outputs: 8, readUntil: undefined },
    });
    expect(story.changes.every((change) => change.levels === undefined)).toBe(true);
    expect(new Set(story.proofs.map((one) => one.result))).toEqual(new Set(['unproved']));
    expect(story.lost).toMatchObject([{ settled: { crc: UNKNOWN_TABLE } }]);
  });
});

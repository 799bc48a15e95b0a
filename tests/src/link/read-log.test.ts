import { beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { itemAt } from '../../../shared/assert.ts';
import { encodeRecord, type LogRecord } from '../../../shared/log.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { Controller } from '../../../src/link/controller.ts';
import { readLog } from '../../../src/link/read-log.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { emptyTable } from '../../support/empty-table.ts';
import { Responder } from './responder.ts';

let device: Responder;
let controller: Controller;

/** Log block `k` at its address: session, number, 15 records (0xFF where undefined). */
function putBlock(k: number, records: readonly (Uint8Array | undefined)[]): void {
  const at = 0x4000 + 0x80 * (k % 256);
  device.input.set(at, 77);
  device.input.set(at + 1, k & 0xffff);
  const bytes = records.flatMap((record) => [...(record ?? new Uint8Array(16).fill(0xff))]);
  for (let i = 0; i < 120; i++)
    device.input.set(at + 2 + i, ((bytes[2 * i] ?? 0) << 8) | (bytes[2 * i + 1] ?? 0));
}

function record(sequence: number): Uint8Array {
  const body: LogRecord = {
    sequence,
    partial: false,
    estimated: false,
    type: 'workLight',
    time: utcSeconds(8e8),
    begins: 0,
    seconds: 0,
  };
  return encodeRecord(body);
}

/** Oldest and newest sequence number in the status. */
function putEnds(oldest: number, newest: number): void {
  device.input.set(26, newest >>> 16).set(27, newest & 0xffff);
  device.input.set(28, oldest >> 16).set(29, oldest & 0xffff);
}

beforeEach(async () => {
  device = new Responder();
  device.setStatus(77);
  const link = virtualLink(new Happenings(device));
  controller = await Controller.open(
    { path: 'test', baudRate: 38_400, ...link, virtual: true, remarks: () => [], finish: () => undefined },
    1,
  );
});

describe('a controller as it should be, or not', () => {
  const port = () => {
    const link = virtualLink(new Happenings(device));
    return {
      path: 'test',
      baudRate: 38_400,
      ...link,
      virtual: true,
      remarks: () => [],
      finish: () => undefined,
    };
  };

  it('speaks another register map, or is a board not known: told apart', async () => {
    device.input.set(2, 2);
    await expect(Controller.open(port(), 1)).rejects.toThrow(/version 2 of the register map/);
    device.input.set(2, 1).set(3, 999);
    await expect(Controller.open(port(), 1)).rejects.toThrow(/which this version of Leanward does not know/);
  });

  it('gives the table that runs, after the marks of its slot (protocol.md, tables)', async () => {
    const { bytes } = encodeTable({ ...emptyTable(9500), limits: { dwellSeconds: 3, longestOnMinutes: 9 } });
    const slot = [...new Array<number>(8).fill(0xa5), ...bytes, ...new Array<number>(480).fill(0xff)];
    device.input.set(16, 1).set(20, bytes.length);
    for (const [n, address] of [0x1200, 0x1280].entries()) {
      device.input.set(address, 77).set(address + 1, address);
      for (let i = 0; i < 120; i++) {
        const at = 240 * n + 2 * i;
        device.input.set(address + 2 + i, (itemAt(slot, at) << 8) | itemAt(slot, at + 1));
      }
    }
    expect(await controller.readRunningTable()).toEqual(bytes);
  });

  it('gives a slot that is no table', async () => {
    device.input.set(16, 0).set(20, 100);
    for (const block of [0x1000, 0x1080]) device.input.set(block, 77).set(block + 1, block);
    await expect(controller.readRunningTable()).rejects.toMatchObject({ kind: 'link', reason: 'mixed up' });
  });
});

describe('reading the run log', () => {
  it('counts damaged and misplaced records as missing, and reads the rest', async () => {
    putEnds(1, 20);
    const damaged = record(7);
    damaged[9] = itemAt(damaged, 9) ^ 1;
    const first = Array.from({ length: 15 }, (_, i) => (i === 0 ? undefined : i === 7 ? damaged : record(i)));
    putBlock(0, first);
    putBlock(
      1,
      Array.from({ length: 15 }, (_, i) => (i === 2 ? record(18) : i <= 5 ? record(15 + i) : undefined)),
    );
    const reading = await readLog(controller);
    expect(reading.missing).toEqual([7, 17]);
    expect(reading.records.map(({ sequence }) => sequence)).toEqual([
      1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 19, 20,
    ]);
    expect(itemAt(reading.records, 0).raw).toEqual(record(1));
  });

  it('finds blocks whose addresses have come round (block 300 lies at the address of block 44)', async () => {
    putEnds(4490, 4502);
    for (const k of [299, 300])
      putBlock(
        k,
        Array.from({ length: 15 }, (_, i) => record(15 * k + i)),
      );
    const parts: number[] = [];
    const reading = await readLog(controller, 4480, (part) => parts.push(part));
    expect(parts).toEqual([0.5, 1]);
    expect(reading.records.map(({ sequence }) => sequence)).toEqual(
      Array.from({ length: 13 }, (_, i) => 4490 + i),
    );
    expect(reading.missing).toEqual([4481, 4482, 4483, 4484, 4485, 4486, 4487, 4488, 4489]);
    putBlock(300, []);
    device.input.set(0x4000 + 0x80 * 44 + 1, 44);
    await expect(readLog(controller)).rejects.toMatchObject({ reason: 'mixed up' });
  });

  it.each([
    [1, 0xffffff00],
    [0xffff01, 0x1000000],
    [1, 241],
    [9, 8],
    [0, 5],
    [3, 0],
  ])('believes no pointers that the ring cannot hold: %i to %i', async (oldest, newest) => {
    putEnds(oldest, newest);
    await expect(readLog(controller)).rejects.toMatchObject({ kind: 'link', reason: 'mixed up' });
  });

  it('believes no leap of millions of records', async () => {
    putEnds(0xffff00, 0xffffef);
    await expect(readLog(controller, 48)).rejects.toMatchObject({ kind: 'link', reason: 'mixed up' });
  });

  it('counts what was missed from the last one read, a million at the most', async () => {
    const newest = 1_000_500;
    putEnds(newest - 239, newest);
    for (let k = Math.floor((newest - 239) / 15); k <= Math.floor(newest / 15); k++) putBlock(k, []);
    expect((await readLog(controller, newest - 1_000_000)).missing).toHaveLength(1_000_000);
    await expect(readLog(controller, newest - 1_000_001)).rejects.toMatchObject({ reason: 'mixed up' });
    expect((await readLog(controller, newest - 2)).missing).toEqual([newest - 1, newest]);
  });

  it('asks for no block when nothing is new', async () => {
    putEnds(1, 20);
    device.requests.length = 0;
    const nothing = { records: [], oldest: 1, newest: 20, missing: [] };
    expect(await readLog(controller, 20)).toEqual(nothing);
    // Nor of a log that ends before what was read of another.
    expect(await readLog(controller, 25)).toEqual(nothing);
    expect(device.requests).toHaveLength(2);
  });

  it('is empty when the log is', async () => {
    expect(await readLog(controller)).toEqual({ records: [], oldest: 0, newest: 0, missing: [] });
  });
});

/**
 * A log that is not the one archived: another controller with the same
 * identity, or a log memory that was replaced. Nothing is ever mixed.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../shared/assert.ts';
import type { LogRecord } from '../../../shared/log.ts';
import { flashedTables } from '../../../src/archive/flashed.ts';
import { beginHistory, readIntoArchive } from '../../../src/archive/from-controller.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import { readRecords } from '../../../src/archive/read.ts';
import { boardById } from '../../../src/files/boards.ts';
import { Controller } from '../../../src/link/controller.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { DAILY, DAY, flash, pass, startedDevice, write } from '../../firmware-sim/controller/host.ts';

const IDENTITY = 0x12345678;
const board = sure(boardById('mega328-relay8'));

let archive: Archive;
let first: SimulatedDevice;
beforeEach(async () => {
  archive = await openArchive(':memory:', 0);
  first = startedDevice();
  write(first, 0x0172, [IDENTITY >>> 16, IDENTITY & 0xffff]);
  flash(first, DAILY);
});
afterEach(() => archive.close());

/** The same controller once more: settings, table and log alike so far. */
function twin(of: SimulatedDevice): SimulatedDevice {
  return makeSimulatedDevice({ board, utc: of.utc, image: structuredClone(of.save()) });
}

async function open(device: SimulatedDevice): Promise<Controller> {
  const link = virtualLink(new Happenings(device));
  const port = {
    path: 'test',
    baudRate: 38_400,
    ...link,
    virtual: true,
    remarks: () => [],
    finish: () => undefined,
  };
  return Controller.open(port, 1);
}

const inPlan = { plan: 'pantry', controller: 'rack' };

async function read(device: SimulatedDevice, spare = false): ReturnType<typeof readIntoArchive> {
  const controller = await open(device);
  try {
    return await readIntoArchive(archive, controller, inPlan, { setClock: false, spare });
  } finally {
    await controller.close();
  }
}

async function kept(identity = IDENTITY): Promise<LogRecord[]> {
  const found: LogRecord[] = [];
  for await (const record of readRecords(archive, identity)) found.push(record);
  return found;
}

/** Lives for days, with a cut each so often, so that its log is its own. */
function live(device: SimulatedDevice, days: number, cutAt: number): void {
  pass(device, cutAt);
  device.setPower(false);
  pass(device, 600);
  device.setPower(true);
  pass(device, days * DAY);
}

describe('a log that is not the one archived', () => {
  it('is refused when it goes on longer, and nothing of it is added', async () => {
    const second = twin(first);
    live(first, 5, 3600);
    live(second, 20, 7200);
    await read(first);
    const before = await kept();
    await expect(read(second)).rejects.toMatchObject({ kind: 'link', reason: 'archive: contradiction' });
    expect(await kept()).toEqual(before);
    expect(await gapsOf(archive, IDENTITY)).toEqual([]);
  });

  it('is refused when it ends sooner, also when the log memory is new and empty', async () => {
    const second = twin(first);
    live(first, 20, 3600);
    live(second, 5, 7200);
    await read(first);
    await expect(read(second)).rejects.toThrow(/it ends with record \d+, and record \d+ is kept already/);
    first.setPower(false);
    first.memories.log.fill(0xff);
    first.setPower(true);
    pass(first, 2);
    await expect(read(first)).rejects.toMatchObject({ reason: 'archive: contradiction' });
  });

  it('is not confused with a log memory that does not answer', async () => {
    await read(first);
    first.setTrouble('log silent', true);
    await expect(read(first)).rejects.toThrow(/log memory does not answer/);
  });

  it('begins a history of its own on request, beside the old one', async () => {
    const second = twin(first);
    live(first, 5, 3600);
    live(second, 20, 7200);
    await read(first);
    const before = await kept();
    const controller = await open(second);
    const fresh = await beginHistory(archive, controller);
    await controller.close();
    // As the command does: with a number of its own it takes the place of the board it was taken for.
    await expect(read(second)).rejects.toMatchObject({ reason: 'another board' });
    const { appended } = await read(second, true);
    expect(appended.added).toBe(appended.newest);
    expect(fresh).not.toBe(IDENTITY);
    expect((await kept(fresh)).length).toBe(appended.added);
    expect(await kept()).toEqual(before);
    expect((await flashedTables(archive, fresh)).length).toBe(1);
    live(first, 3, 100);
    expect((await read(first)).appended.added).toBeGreaterThan(0);
  });

  it('of one controller is added as ever, also when it lapped between two readings', async () => {
    live(first, 3, 3600);
    const once = await read(first);
    expect(once.reading.records.length).toBe(once.appended.added);
    expect((await read(first)).reading.records.length).toBeLessThan(3);
    live(first, 200, 500);
    const lapped = await read(first);
    expect(lapped.appended.lost).toBeGreaterThan(50);
    expect(lapped.reading.missing.length).toBe(lapped.appended.lost);
  });
});

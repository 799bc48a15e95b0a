/** The typed client against the simulated controller: everything the register map offers. */

import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import { RING_RECORDS } from '../../../shared/log.ts';
import { clockAhead } from '../../../src/answers/status/text.ts';
import { boardById } from '../../../src/files/boards.ts';
import { transfer } from '../../../src/jobs/flash/transfer.ts';
import { boardsById } from '../../../src/jobs/plan-file.ts';
import { Controller } from '../../../src/link/controller.ts';
import type { Port } from '../../../src/link/port.ts';
import { readLog } from '../../../src/link/read-log.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';

const PLAN = readFileSync(new URL('../../../shared/plans/pantry.plan.yaml', import.meta.url), 'utf8');
/** Day 49 of batch `early`: A and C are in the second week of the climb, lit from the right from 08:00 (07:00 UTC). */
const START = utcFromUnixMs(Date.parse('2026-04-06T06:00:00Z'));

let device: SimulatedDevice;
let world: Happenings;
let port: Port;
let controller: Controller;

beforeEach(async () => {
  device = makeSimulatedDevice({
    board: sure(boardById('mega328-relay8')),
    utc: START,
    clockRight: false,
    probe: 24 * 16,
  });
  world = new Happenings(device);
  port = {
    path: 'test',
    baudRate: 38_400,
    ...virtualLink(world),
    virtual: true,
    remarks: () => [],
    finish: () => undefined,
  };
  controller = await Controller.open(port, 1);
});

async function putPlanOn(): Promise<void> {
  await controller.setClock();
  const table = itemAt(compilePlan(PLAN, { boards: boardsById() }).tables, 0).encoded.bytes;
  await transfer({ controller, table, onPart: () => undefined, onRemark: () => undefined });
}

/** Lets seconds pass. */
function pass(seconds: number): void {
  world.advance(seconds * 1e6);
}

describe('a controller over the link', () => {
  it('says by how much its supply is too low when it writes nothing', async () => {
    device.setTrouble('supply low', true);
    pass(2);
    await expect(controller.setIdentity(7)).rejects.toThrow(
      /measures 4\d{3} mV at its supply and writes nothing below 4500 mV/,
    );
    device.setTrouble('supply low', false);
    await controller.setIdentity(7);
    expect((await controller.status()).identity).toBe(7);
  });

  it('is told once what a meter shows, and believes nothing that is too far off', async () => {
    const before = (await controller.status()).supply ?? 0;
    await expect(controller.meterSupply(6_500)).rejects.toThrow(/meter shows 6500 mV.*Nothing was changed/);
    expect(await controller.meterSupply(4_880)).toBe(before);
    const after = (await controller.status()).supply ?? 0;
    expect(Math.abs(after - 4_880)).toBeLessThan(15);
    // Told anew it comes back, whatever it thinks now.
    await controller.meterSupply(5_000);
    expect(Math.abs(((await controller.status()).supply ?? 0) - 5_000)).toBeLessThan(15);
  });

  it('has no table, no identity and an unset clock when new', async () => {
    const status = await controller.status();
    expect(status).toMatchObject({
      running: undefined,
      identity: 0,
      mapVersion: 1,
      board: 1,
      temperature: undefined,
    });
    expect(status.time.known).toBe(false);
    expect(status.faults).toEqual([1, 7]);
    expect(await controller.readRunningTable()).toBeUndefined();
  });

  it('gets its clock right to a hundredth of a second', async () => {
    await controller.setClock();
    const status = await controller.status();
    expect(status.time).toMatchObject({ known: true, estimated: false });
    // The answer of 89 bytes itself takes 10 × 89 / 38400 s on the wire.
    const ahead = clockAhead({ status, host: port.pace.now() }) + 890 / 38_400;
    expect(Math.abs(ahead)).toBeLessThan(0.01);
  });

  it('switches by hand for the hand minutes, one output or none', async () => {
    await controller.setHandMinutes(3);
    await controller.hand(2, true);
    pass(12);
    const lit = await controller.status();
    expect(lit.levels).toEqual([0, 255, 0, 0, 0, 0, 0, 0]);
    expect(lit).toMatchObject({ handMinutes: 3, state: { hand: true } });
    expect(lit.overlayLeft).toBeGreaterThan(150);
    pass(180);
    expect((await controller.status()).levels[1]).toBe(0);
    await expect(controller.hand(9, true)).resolves.toBeUndefined();
    expect((await controller.status()).state.workLight).toBe(true);
    await controller.workLight(false);
    pass(10);
    expect((await controller.status()).state.workLight).toBe(false);
  });

  it('runs a plan: levels, table read back, visits answered and taken back', async () => {
    await putPlanOn();
    // 2026-04-08 18:30 in Lisbon (summer time): the lift of day 51 is due, A and C are zones 1 and 3.
    pass(2 * 86_400 + 11.5 * 3600);
    const status = await controller.status();
    expect(status.levels.filter((_, i) => i % 4 === 1)).toEqual([255, 255]);
    expect(status.due.lift).toBe(0b101);
    expect(status.time.quarters).toBe(4);
    expect(await controller.answerVisit('lift', 0b101, 'done')).toBe(true);
    expect((await controller.status()).due.lift).toBe(0);
    expect(await controller.answerVisit('lift', 0b101, 'takeBack')).toBe(true);
    expect((await controller.status()).due.lift).toBe(0b101);
    expect(await controller.answerVisit('turn', 0b1, 'done')).toBe(false);
  });

  it('reads its log whole, from a number on, and over the lap', async () => {
    await putPlanOn();
    pass(150 * 86_400);
    const all = await readLog(controller);
    expect(all.newest).toBeGreaterThan(RING_RECORDS + 20);
    expect(all.records.length).toBeGreaterThan(RING_RECORDS - 20);
    expect(all.records.map(({ sequence }) => sequence)).toEqual(
      Array.from({ length: all.records.length }, (_, i) => all.newest - all.records.length + 1 + i),
    );
    expect(all.missing[0]).toBe(1);
    const part = await readLog(controller, all.newest - 3);
    expect(part.records.map(({ sequence }) => sequence)).toEqual([
      all.newest - 2,
      all.newest - 1,
      all.newest,
    ]);
    expect(part.missing).toEqual([]);
    expect((await readLog(controller, all.newest)).records).toEqual([]);
  });

  it('answers to another unit number once it has one', async () => {
    await controller.setUnit(17);
    expect((await controller.status()).board).toBe(1);
    await controller.close();
    await expect(Controller.open(port, 1)).rejects.toMatchObject({ reason: 'no answer' });
    expect((await Controller.open(port, 17)).unit).toBe(17);
  });

  it('is noticed when it restarts under way', async () => {
    await putPlanOn();
    pass(60);
    device.reset('watchdog');
    pass(5);
    await expect(controller.status()).rejects.toMatchObject({ reason: 'restarted' });
  });

  it('goes on with a trial over a restart, and another flash gives it up', async () => {
    await controller.setClock();
    const table = itemAt(compilePlan(PLAN, { boards: boardsById() }).tables, 0).encoded.bytes;
    const session = await controller.upload(table, () => undefined);
    const crc = new DataView(table.buffer, table.byteOffset).getUint32(table.length - 4, true);
    await controller.commit(session, table.length, crc);
    await controller.close();
    controller = await Controller.open(port, 1);
    expect((await controller.status()).state.trial).toBe(true);
    const remarks: string[] = [];
    const done = await transfer({
      controller,
      table,
      onPart: () => undefined,
      onRemark: (words) => remarks.push(words),
    });
    expect(remarks).toEqual([expect.stringMatching(/still on trial; giving it up/)]);
    expect(done.status).toMatchObject({ running: { crc }, state: { trial: false } });
  });

  it('never says confirmed on the word of an answer alone', async () => {
    await putPlanOn();
    const table = itemAt(
      compilePlan(PLAN.replace('days: 49', 'days: 42'), { boards: boardsById() }).tables,
      0,
    ).encoded.bytes;
    controller.confirm = async () => undefined;
    const work = { controller, table, onPart: () => undefined, onRemark: () => undefined };
    // It looks again after the break; the trial runs on, and this time the confirmation goes through.
    const remarks: string[] = [];
    const done = await transfer({ ...work, onRemark: (words) => remarks.push(words) });
    controller = done.controller;
    expect(remarks).toEqual([expect.stringMatching(/not the one that was sent.*Connecting again/)]);
    expect(done.status.state.trial).toBe(false);
  });

  it('confirms nothing that does not read back as it was sent', async () => {
    await putPlanOn();
    const before = sure((await controller.status()).running);
    const table = itemAt(
      compilePlan(PLAN.replace('days: 49', 'days: 42'), { boards: boardsById() }).tables,
      0,
    ).encoded.bytes;
    const readSlot = controller.readSlot.bind(controller);
    controller.readSlot = async (slot) => {
      const image = await readSlot(slot);
      image.bytes[40] = itemAt(image.bytes, 40) ^ 4;
      return image;
    };
    const broken = transfer({ controller, table, onPart: () => undefined, onRemark: () => undefined });
    await expect(broken).rejects.toMatchObject({ reason: 'not verified', details: { runs: 'old' } });
    const after = await Controller.open(port, 1);
    expect((await after.status()).running).toEqual(before);
  });
});

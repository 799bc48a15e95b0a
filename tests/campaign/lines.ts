/**
 * Lines that are faulty: bytes lost, changed, doubled, late, noise between
 * them, in either direction; the power cut or the chip restarted under way.
 * A flash, a status and a log are done over each.
 *
 * What must hold: each ends, in success or in a sentence of the link; what a
 * flash says about the table that runs is so; a log that was read holds no
 * record that the controller did not write; over a sound line all works again.
 */

import type { DeviceImage } from '../../firmware-sim/device.ts';
import { Happenings } from '../../firmware-sim/happenings.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { Failure } from '../../src/failure.ts';
import { boardById } from '../../src/files/boards.ts';
import { sealOf, transfer } from '../../src/jobs/flash/transfer.ts';
import { Controller } from '../../src/link/controller.ts';
import type { Port } from '../../src/link/port.ts';
import { readLog } from '../../src/link/read-log.ts';
import { virtualLink } from '../../src/virtual/binding.ts';
import { DAILY, DAY, EMPTY, flash, pass, START, startedDevice } from '../firmware-sim/controller/host.ts';
import { type Campaign, hold } from './campaign.ts';

const board = sure(boardById('mega328-relay8'));
const OLD = encodeTable(DAILY).bytes;
const NEW = encodeTable({ ...EMPTY, digest: 5 }).bytes;
let before: DeviceImage;

/** Lives through what is before every run. */
export function makeBefore(): void {
  const device = startedDevice();
  flash(device, DAILY);
  pass(device, 5 * DAY);
  before = device.save();
}

/** One byte in so many is hurt. */
const RATES = [15, 60, 300, 2000] as const;

/** What a faulty line makes of bytes. */
function hurt(bytes: Uint8Array, chance: Chance, rate: number): Uint8Array {
  const out: number[] = [];
  for (const byte of bytes) {
    const fault = draw(chance, rate);
    if (fault === 0) continue;
    if (fault === 1) out.push(byte ^ (1 << draw(chance, 8)));
    else if (fault === 2) out.push(byte, byte);
    else if (fault === 3) out.push(draw(chance, 256), byte);
    else out.push(byte);
  }
  return Uint8Array.from(out);
}

/** Spoils what a device hears and says, and now and then cuts its power or restarts it. */
function spoil(device: SimulatedDevice, chance: Chance): () => void {
  const rate = RATES[draw(chance, RATES.length)] ?? 60;
  const violent = draw(chance, 3) === 0;
  const { receive, takeSent } = device;
  device.receive = (bytes) => {
    const mishap = violent ? draw(chance, 40) : -1;
    if (mishap === 0) {
      device.setPower(false);
      device.setPower(true);
    } else if (mishap === 1) device.openPort();
    receive.call(device, hurt(bytes, chance, rate));
  };
  device.takeSent = () => hurt(takeSent.call(device), chance, rate);
  return () => {
    device.receive = receive;
    device.takeSent = takeSent;
  };
}

/** A way to talk to a device: opens a controller, acts, closes. */
export type Over = <T>(device: SimulatedDevice, act: (controller: Controller) => Promise<T>) => Promise<T>;

/** Acts on what was opened, and closes it whatever happens. */
export async function closing<T>(
  controller: Controller,
  act: (controller: Controller) => Promise<T>,
): Promise<T> {
  try {
    return await act(controller);
  } finally {
    await controller.close().catch(() => undefined);
  }
}

const overVirtual: Over = async (device, act) => {
  const port: Port = {
    ...{ path: 'test', baudRate: 38_400, ...virtualLink(new Happenings(device)), virtual: true },
    ...{ remarks: () => [], finish: () => undefined },
  };
  return closing(await Controller.open(port, 1), act);
};

async function attempt<T>(act: Promise<T>): Promise<T | Failure> {
  try {
    return await act;
  } catch (error) {
    if (error instanceof Failure) return error;
    throw error;
  }
}

const putOn = (device: SimulatedDevice, over: Over): Promise<unknown> =>
  over(device, async (controller) => {
    const work = { controller, table: NEW, onPart: () => undefined, onRemark: () => undefined };
    const done = await transfer(work);
    await done.controller.close().catch(() => undefined);
    return 'new';
  });

/** CRC of the table that runs, over a sound line, once whatever trial there was is over. */
async function truth(device: SimulatedDevice, over: Over): Promise<'new' | 'old' | 'neither'> {
  const now = await over(device, (controller) => controller.status());
  if (now.running?.crc === sealOf(NEW)) return 'new';
  return now.running?.crc === sealOf(OLD) ? 'old' : 'neither';
}

export const lines: Campaign = {
  name: 'lines',
  about: 'flash, status and log over faulty lines: never a wrong word about what runs, no invented record',
  unit: 'runs',
  share: 1,
  least: 400,
  slice: 25,
  prepare: async () => {
    makeBefore();
    return async () => undefined;
  },
  async run(chance) {
    await faultyRun(deviceBefore(), chance, overVirtual);
    return 1;
  },
};

/** A controller that has run the old table for five days. */
export function deviceBefore(): SimulatedDevice {
  return makeSimulatedDevice({ board, utc: utcSeconds(START), image: structuredClone(before) });
}

/** A flash and a log over a faulty line, and what must hold afterwards over a sound one. */
export async function faultyRun(device: SimulatedDevice, chance: Chance, over: Over): Promise<void> {
  const heal = spoil(device, chance);
  const said = await attempt(putOn(device, over));
  const read = await attempt(over(device, (controller) => readLog(controller)));
  heal();
  const runs = await truth(device, over);
  const claimed = said instanceof Failure ? said.details?.runs : said;
  // On trial when it was said, and given back since: both are so.
  const fits =
    claimed === runs || claimed === undefined || claimed === 'unknown' || claimed === 'new on trial';
  hold(fits && runs !== 'neither', () => `said ${claimed}, runs ${runs}: ${String(said)}`);
  hold(said instanceof Failure || runs === 'new', `done, but ${runs} runs`);
  const whole = await over(device, (controller) => readLog(controller));
  if (!(read instanceof Failure)) {
    const written = new Map(whole.records.map((one) => [one.sequence, Buffer.from(one.raw).toString('hex')]));
    for (const one of read.records) {
      const same = written.get(one.sequence) === Buffer.from(one.raw).toString('hex');
      hold(same, () => `record ${one.sequence} was read otherwise than it was written`);
    }
  }
  pass(device, 130);
  hold((await attempt(putOn(device, over))) === 'new', 'no flash over a sound line afterwards');
}

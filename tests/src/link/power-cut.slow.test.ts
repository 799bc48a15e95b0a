/**
 * The power goes at any moment of a flash: afterwards the old or the new table
 * runs, the host says which, and the next flash succeeds.
 */

import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { DeviceImage } from '../../../firmware-sim/device.ts';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import type { Board } from '../../../shared/board.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import { Failure } from '../../../src/failure.ts';
import { boardById } from '../../../src/files/boards.ts';
import { sealOf, transfer } from '../../../src/jobs/flash/transfer.ts';
import { boardsById } from '../../../src/jobs/plan-file.ts';
import { Controller } from '../../../src/link/controller.ts';
import { LinkFailure } from '../../../src/link/failure.ts';
import type { Port } from '../../../src/link/port.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';

const TEXT = readFileSync(new URL('../../../shared/plans/pantry.plan.yaml', import.meta.url), 'utf8');
const START = utcFromUnixMs(Date.parse('2026-04-20T05:00:00Z'));
const SEED = 20_260_420;
const MOMENTS = 200;
const board: Board = sure(boardById('mega328-relay8'));

let oldTable: Uint8Array;
let newTable: Uint8Array;
/** A controller on which the old table runs, confirmed. */
let before: DeviceImage;
/** Microseconds that an undisturbed flash takes. */
let length: number;

function tableOf(text: string): Uint8Array {
  return itemAt(compilePlan(text, { boards: boardsById() }).tables, 0).encoded.bytes;
}

function portOf(world: Happenings): Port {
  return {
    path: 'test',
    baudRate: 38_400,
    ...virtualLink(world),
    virtual: true,
    remarks: () => [],
    finish: () => undefined,
  };
}

/** A small generator (Lehmer, 48271 modulo 2^31 − 1), so that a failure's moment comes again. */
function random(seed: number): () => number {
  let state = seed % 2_147_483_647;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

async function flash(device: SimulatedDevice, table: Uint8Array, world = new Happenings(device)) {
  const controller = await Controller.open(portOf(world), 1).catch((error: unknown) => {
    // Nothing was sent yet: what ran before runs.
    throw error instanceof LinkFailure
      ? new Failure('link', error.message, { details: { runs: 'old' } })
      : error;
  });
  const done = await transfer({ controller, table, onPart: () => undefined, onRemark: () => undefined });
  await done.controller.close();
  return done.status;
}

function restored(image: DeviceImage): SimulatedDevice {
  return makeSimulatedDevice({ board, utc: START, image: structuredClone(image) });
}

beforeAll(async () => {
  oldTable = tableOf(TEXT);
  newTable = tableOf(TEXT.replace('days: 49', 'days: 42'));
  const device = makeSimulatedDevice({ board, utc: START, clockRight: true });
  await flash(device, oldTable);
  await flash(device, newTable);
  await flash(device, oldTable);
  before = device.save();
  const undisturbed = restored(before);
  const began = undisturbed.micros;
  await flash(undisturbed, newTable);
  length = undisturbed.micros - began;
});

/** The table that runs, as the controller's own memory tells after it has started. */
async function running(device: SimulatedDevice): Promise<number | undefined> {
  const controller = await Controller.open(portOf(new Happenings(device)), 1);
  const { running: table } = await controller.status();
  await controller.close();
  return table?.crc;
}

describe('a power cut at a random moment of a flash', () => {
  it(`leaves the old or the new table running, ${MOMENTS} times`, async () => {
    const chance = random(SEED);
    const count = { new: 0, old: 0 };
    for (let i = 0; i < MOMENTS; i++) {
      const device = restored(before);
      const world = new Happenings(device);
      // Three of four while there is traffic, one anywhere (opening begins with 2 s of silence).
      const silence = i % 4 === 0 ? 0 : 2_200_000;
      const at = device.micros + silence + Math.floor(chance() * (length - silence));
      const off = 20_000 + Math.floor(chance() * 6e6);
      cutAt(device, at, at + off);
      const said = await flash(device, newTable, world).then(
        () => 'done, new',
        (error: unknown) => (error instanceof Failure ? `failed, ${error.details?.runs}` : error),
      );
      const crc = await running(device);
      const truth =
        crc === sealOf(newTable) ? 'done, new' : crc === sealOf(oldTable) ? 'failed, old' : 'neither';
      expect({ i, at, said }).toEqual({ i, at, said: truth });
      count[truth === 'done, new' ? 'new' : 'old']++;
      const status = await flash(device, newTable);
      expect(status.running?.crc).toBe(sealOf(newTable));
    }
    expect(count.new).toBeGreaterThan(10);
    expect(count.old).toBeGreaterThan(10);
  });
});

/** Cuts the power of a device between two microseconds, whoever runs it. */
function cutAt(device: SimulatedDevice, from: number, until: number): void {
  const run = device.run.bind(device);
  const acts = [
    { at: from, on: false },
    { at: until, on: true },
  ];
  device.run = (to) => {
    while (acts[0] && acts[0].at <= to) {
      run(Math.max(device.micros, acts[0].at));
      device.setPower(sure(acts.shift()).on);
    }
    run(to);
  };
}

/** Commands that are stopped while they talk to a controller leave nothing on and nothing half done. */

import { beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { Interruption, unlessStopped } from '../../../src/cli/signals.ts';
import { sealOf, transfer } from '../../../src/jobs/flash/transfer.ts';
import { Stopped } from '../../../src/jobs/halt.ts';
import { showLamps } from '../../../src/jobs/lamps.ts';
import { Controller } from '../../../src/link/controller.ts';
import { LinkFailure } from '../../../src/link/failure.ts';
import type { Port } from '../../../src/link/port.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { NO_NAMES } from '../../../src/words/names.ts';
import { DAILY, EMPTY, flash, startedDevice } from '../../firmware-sim/controller/host.ts';

let device: SimulatedDevice;
beforeEach(() => {
  device = startedDevice();
});

/** Runs `work` with a port that a signal interrupts, as the commands have it. */
async function interruptibly<T>(work: (port: Port) => Promise<T>): Promise<T> {
  const link = virtualLink(new Happenings(device));
  const interruption = new Interruption(() => undefined);
  try {
    return await work({
      ...{ path: 'test', baudRate: 38_400, binding: link.binding, virtual: true },
      ...{ pace: interruption.over(link.pace), remarks: () => [], finish: () => undefined },
    });
  } finally {
    interruption.end();
  }
}

/** A signal at the count-th time that something happens. */
function signalAt(count: number, signal: NodeJS.Signals): () => void {
  let left = count;
  return () => {
    if (--left === 0) process.emit(signal, signal);
  };
}

describe('lamps', () => {
  it.each(['SIGINT', 'SIGTERM', 'SIGHUP'] as const)('puts its lamp out on %s', async (signal) => {
    const lit = signalAt(2, signal);
    device.onLevels = (_, levels) => levels.some((level) => level > 0) && lit();
    const shown = interruptibly(async (port) => showLamps(await Controller.open(port, 1), NO_NAMES, false));
    await expect(shown).rejects.toBeInstanceOf(Stopped);
    device.run(device.micros + 15e6);
    expect([...device.levels]).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
    const status = await interruptibly(async (port) => (await Controller.open(port, 1)).status());
    expect(status).toMatchObject({ overlayLeft: 0, handMinutes: 10, state: { hand: false } });
  });
});

describe('flash', () => {
  const { bytes: next } = encodeTable({ ...EMPTY, digest: 5 });

  /** Flashes until a signal comes at the count-th part that was sent; what it said, and what truly runs. */
  async function stoppedAt(
    count: number,
    ended = (): void => undefined,
  ): Promise<{ said: unknown; runs: string; upload: number }> {
    const part = signalAt(count, 'SIGINT');
    const said = await interruptibly(async (port) => {
      const controller = await Controller.open(port, 1);
      await transfer({ controller, table: next, onPart: part, onRemark: () => undefined });
      return 'done';
    }).catch((error: unknown) => error);
    ended();
    const status = await interruptibly(async (port) => (await Controller.open(port, 1)).status());
    const runs = status.running?.crc === sealOf(next) ? 'new' : 'old';
    return { said, runs, upload: status.uploadSession };
  }

  it('gives its upload up and says which table runs', async () => {
    flash(device, DAILY);
    const { said, runs, upload } = await stoppedAt(1);
    expect({ runs, upload }).toEqual({ runs: 'old', upload: 0 });
    expect(said).toMatchObject({ reason: 'stopped', exitCode: 130, details: { runs: 'old' } });
    expect(String(said)).toMatch(/The flash was stopped. The table from before, .*, still runs/);
  });

  it('says that it was stopped also where it connects again after a break', async () => {
    flash(device, DAILY);
    const said = await interruptibly(async (port) => {
      const controller = await Controller.open(port, 1);
      const onPart = (): void => {
        throw new LinkFailure('port lost', 'The port is gone.');
      };
      const onRemark = (): unknown => process.emit('SIGINT', 'SIGINT');
      await transfer({ controller, table: next, onPart, onRemark });
    }).catch((error: unknown) => error);
    expect(said).toMatchObject({ reason: 'stopped', exitCode: 130, details: { runs: 'unknown' } });
    expect(String(said)).toMatch(/The flash was stopped/);
  });

  it('never says what is not so, whichever exchange it is stopped at', async () => {
    flash(device, DAILY);
    const outcomes = new Set<string>();
    for (let exchange = 1; exchange < 40; exchange++) {
      const came = signalAt(exchange, 'SIGTERM');
      const receive = device.receive.bind(device);
      device.receive = (bytes) => {
        came();
        receive(bytes);
      };
      const { said, runs, upload } = await stoppedAt(0, () => {
        device.receive = receive;
      });
      expect(upload).toBe(0);
      if (said === 'done' || !(said instanceof Error)) outcomes.add(`done ${runs}`);
      else if (said instanceof Stopped) outcomes.add(`before ${runs}`);
      else {
        expect(said).toMatchObject({ reason: 'stopped', details: { runs } });
        outcomes.add(`stopped ${runs}`);
      }
      flash(device, DAILY);
    }
    expect([...outcomes].sort()).toEqual(['before old', 'done new', 'stopped new', 'stopped old']);
  });
});

it('a port that is stopped while it opens is closed again', async () => {
  const opened: { readonly isOpen: boolean }[] = [];
  const stopped = interruptibly(({ binding, pace, ...port }) => {
    const open = async (options: Parameters<typeof binding.open>[0]) => {
      const one = await binding.open(options);
      opened.push(one);
      return one;
    };
    const wait = (ms: number): Promise<void> => {
      process.emit('SIGTERM', 'SIGTERM');
      return pace.wait(ms);
    };
    return Controller.open({ ...port, binding: { ...binding, open }, pace: { ...pace, wait } }, 1);
  });
  await expect(stopped).rejects.toBeInstanceOf(Stopped);
  expect(opened.map(({ isOpen }) => isOpen)).toEqual([false]);
});

it('a question is left when the command is stopped', async () => {
  const asked = interruptibly(async () => {
    setTimeout(() => process.emit('SIGTERM', 'SIGTERM'), 5);
    return unlessStopped(new Promise<string>(() => undefined));
  });
  await expect(asked).rejects.toMatchObject({ exitCode: 143 });
});

import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { FAULT } from '../../../shared/log.ts';
import { EXCEPTION, HOLDING, NO_SLOT, STATE_FLAG, STATUS } from '../../../shared/registers.ts';
import { MARK, MARK_BYTES, SEALED, SLOT_BYTES } from '../../../shared/storage.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import {
  commit,
  confirm,
  DAILY,
  EMPTY,
  flash,
  long,
  pass,
  read,
  recordNames,
  records,
  SECOND,
  setClock,
  startedDevice,
  status,
  upload,
  write,
} from './host.ts';

const OLD = DAILY;
const NEW = { ...DAILY, digest: 0xbeef0002, bindings: [{ ...itemAt(DAILY.bindings, 0), outputs: 0x0f }] };

const digestOf = (device: SimulatedDevice): number => long(status(device), STATUS.digest);
const inState = (device: SimulatedDevice, flag: number): boolean =>
  (itemAt(status(device), STATUS.state) & flag) !== 0;

/** Power off for ten seconds. */
function cutPower(device: SimulatedDevice): void {
  device.setPower(false);
  pass(device, 10);
  device.setPower(true);
  pass(device, 1);
}

describe('a table on trial', () => {
  it('runs at once, and for good once confirmed', () => {
    const device = startedDevice();
    const bytes = flash(device, OLD);
    expect(digestOf(device)).toBe(OLD.digest);
    expect(inState(device, STATE_FLAG.trial)).toBe(false);
    cutPower(device);
    expect(digestOf(device)).toBe(OLD.digest);
    expect(status(device)[STATUS.tableLength]).toBe(bytes.length);
    expect(recordNames(device)).toEqual(['boot', 'fault+7', 'committed', 'fault-7', 'confirmed', 'boot']);
  });

  it('reverts by itself after 120 s', () => {
    const device = startedDevice();
    flash(device, OLD);
    const { bytes } = encodeTable(NEW);
    commit(device, upload(device, bytes), bytes);
    const [committed] = records(device).slice(-1);
    expect(digestOf(device)).toBe(NEW.digest);
    pass(device, 118);
    expect(digestOf(device)).toBe(NEW.digest);
    expect(write(device, HOLDING.begin, [100])).toBe(EXCEPTION.busy);
    pass(device, 3);
    expect(digestOf(device)).toBe(OLD.digest);
    const [reverted] = records(device).slice(-1);
    if (committed?.type !== 'committed' || reverted?.type !== 'reverted') throw new Error('not logged');
    expect(reverted.time - committed.time).toBe(120);
    expect(reverted).toMatchObject({ crc: committed.crc, tableSequence: 2, slot: 1 });
  });

  it('reverts on request and then takes the next upload', () => {
    const device = startedDevice();
    flash(device, OLD);
    const { bytes } = encodeTable(NEW);
    const session = upload(device, bytes);
    commit(device, session, bytes);
    expect(write(device, HOLDING.giveUp, [session + 1])).toBe(EXCEPTION.value);
    expect(write(device, HOLDING.giveUp, [session])).toBe(0);
    expect(digestOf(device)).toBe(OLD.digest);
    expect(records(device).at(-1)).toMatchObject({ type: 'reverted', slot: 0x81 });
    flash(device, NEW);
    expect(digestOf(device)).toBe(NEW.digest);
  });

  it('goes on over an external reset with its deadline, and can still be confirmed', () => {
    const device = startedDevice();
    flash(device, OLD);
    const { bytes } = encodeTable(NEW);
    const session = upload(device, bytes);
    commit(device, session, bytes);
    pass(device, 60);
    const before = recordNames(device);
    device.openPort();
    pass(device, 2);
    expect(digestOf(device)).toBe(NEW.digest);
    expect(status(device)[STATUS.trialLeft]).toBeLessThan(60);
    expect(status(device)[STATUS.resets]).toBe(1);
    expect(recordNames(device)).toEqual(before);
    expect(confirm(device, session, bytes)).toBe(0);
    expect(confirm(device, session, bytes)).toBe(0);
    cutPower(device);
    expect(digestOf(device)).toBe(NEW.digest);
    expect(recordNames(device).slice(before.length)).toEqual(['confirmed', 'boot']);
  });

  it('ends at a watchdog reset and at a power cut, logged', () => {
    for (const end of ['watchdog', 'power'] as const) {
      const device = startedDevice();
      flash(device, OLD);
      const { bytes } = encodeTable(NEW);
      commit(device, upload(device, bytes), bytes);
      if (end === 'power') cutPower(device);
      else device.reset('watchdog');
      pass(device, 2);
      expect(digestOf(device)).toBe(OLD.digest);
      expect(recordNames(device).slice(-2)).toEqual(['boot', 'reverted']);
      expect(records(device).at(-1)).toMatchObject({ slot: 0x41 });
      cutPower(device);
      expect(recordNames(device).slice(-2)).toEqual(['reverted', 'boot']);
    }
  });

  it('is refused when session, length, CRC, contents or outputs are not right', () => {
    const device = startedDevice(undefined, 1, 'mega328-relay4-dim2');
    const { bytes } = encodeTable(OLD);
    const session = upload(device, bytes);
    expect(commit(device, session + 1, bytes)).toBe(EXCEPTION.value);
    expect(commit(device, session, bytes)).toBe(EXCEPTION.value);
    expect(inState(device, STATE_FLAG.upload)).toBe(true);
    const broken = Uint8Array.from(encodeTable(NEW).bytes);
    const second = upload(device, broken);
    expect(second).not.toBe(session);
    expect(write(device, HOLDING.table, [0x4c58])).toBe(0);
    expect(commit(device, second, broken)).toBe(EXCEPTION.value);
    expect(write(device, HOLDING.table, [0x4c57])).toBe(0);
    expect(commit(device, second, broken)).toBe(0);
    expect(write(device, HOLDING.confirm, [second, 9, 0, 0])).toBe(EXCEPTION.value);
  });

  it('waits while the supply is low', () => {
    const device = startedDevice();
    const { bytes } = encodeTable(OLD);
    device.setTrouble('supply low', true);
    expect(write(device, HOLDING.begin, [bytes.length])).toBe(EXCEPTION.busy);
    device.setTrouble('supply low', false);
    flash(device, OLD);
    expect(digestOf(device)).toBe(OLD.digest);
  });

  it('does not run with a torn confirm mark, which is rewritten first', () => {
    const device = startedDevice();
    flash(device, OLD);
    device.setPower(false);
    device.memories.eeprom[MARK.confirm] = 0xdb;
    device.setPower(true);
    pass(device, 1);
    expect(device.memories.eeprom[MARK.confirm]).toBe(0xff);
    expect(device.memories.eeprom[MARK.seal]).toBe(0x00);
    expect(status(device)[STATUS.slot]).toBe(NO_SLOT);
    expect(recordNames(device).slice(-3)).toEqual(['boot', 'reverted', 'fault+7']);
  });

  it('keeps its time left over a large step of the clock', () => {
    const device = startedDevice();
    const { bytes } = encodeTable(OLD);
    commit(device, upload(device, bytes), bytes);
    setClock(device, device.utc + 40 * 86_400);
    expect(status(device)[STATUS.trialLeft]).toBeGreaterThan(110);
    pass(device, 125);
    expect(status(device)[STATUS.slot]).toBe(NO_SLOT);
  });

  it('is told from its slot when the slot is damaged', () => {
    const device = startedDevice();
    flash(device, OLD);
    device.setPower(false);
    device.memories.eeprom[MARK_BYTES + 20] = itemAt(device.memories.eeprom, MARK_BYTES + 20) ^ 4;
    device.setPower(true);
    pass(device, 1);
    expect(status(device)[STATUS.slot]).toBe(NO_SLOT);
    expect(itemAt(status(device), STATUS.faults) & (1 << (FAULT.slotDamaged - 1))).not.toBe(0);
  });
});

describe('a power cut during a flash', () => {
  /** A device with OLD confirmed, about to be flashed with NEW. */
  function prepared(seed: number): SimulatedDevice {
    const device = startedDevice(undefined, seed);
    flash(device, OLD);
    return device;
  }

  /** How long a whole flash takes, in microseconds. */
  function flashMicros(): number {
    const device = prepared(1);
    const began = device.micros;
    flash(device, NEW);
    return device.micros - began;
  }

  /** Flashes until the power fails at `cutAt`. */
  function flashUntil(device: SimulatedDevice, cutAt: number): void {
    const run = device.run.bind(device);
    device.run = (until) => {
      run(Math.min(until, cutAt));
      if (until >= cutAt) throw new Error('cut');
    };
    try {
      flash(device, NEW);
    } catch (error) {
      if (!(error instanceof Error) || error.message !== 'cut') throw error;
    }
    device.run = run;
  }

  it('leaves the old or the new table whole, whenever it comes, and the next flash succeeds', () => {
    const whole = flashMicros();
    const outcomes = new Set<number>();
    for (let attempt = 0; attempt < 200; attempt++) {
      const device = prepared(attempt + 1);
      // Equal steps over the flash, and each at another microsecond of a write.
      flashUntil(device, device.micros + Math.floor((attempt * whole) / 200) + ((attempt * 997) % 3_400));
      device.setPower(false);
      pass(device, 5);
      device.setPower(true);
      pass(device, 1);
      const digest = digestOf(device);
      outcomes.add(digest);
      expect([OLD.digest, NEW.digest]).toContain(digest);
      // What runs is sealed and whole in the memory itself.
      const slot = itemAt(status(device), STATUS.slot);
      const at = slot * SLOT_BYTES;
      const length = itemAt(status(device), STATUS.tableLength);
      expect(device.memories.eeprom[at + MARK.seal]).toBe(SEALED);
      const table = device.memories.eeprom.slice(at + MARK_BYTES, at + MARK_BYTES + length);
      expect(decodeTable(table).ok).toBe(true);
      if (attempt % 10 === 0) flash(device, { ...EMPTY, digest: 5 });
    }
    expect(outcomes.size).toBe(2);
  });

  it('never shows a half-written table to a reset either', () => {
    const whole = flashMicros();
    for (let attempt = 0; attempt < 60; attempt++) {
      const device = prepared(attempt + 1);
      flashUntil(device, device.micros + Math.floor((attempt * whole) / 60) + 1_234);
      device.openPort();
      pass(device, 3);
      expect([OLD.digest, NEW.digest]).toContain(digestOf(device));
      pass(device, 130);
      device.openPort();
      pass(device, 3);
      flash(device, NEW);
      expect(digestOf(device)).toBe(NEW.digest);
    }
  });
});

describe('settings', () => {
  it('keep unit and identity, and mend a torn copy', () => {
    const device = startedDevice();
    expect(write(device, HOLDING.identity, [0x1234, 0x5678])).toBe(0);
    expect(write(device, HOLDING.unit, [100])).toBe(EXCEPTION.value);
    device.setPower(false);
    device.memories.eeprom[896 + 64 + 2] = itemAt(device.memories.eeprom, 896 + 64 + 2) ^ 1;
    device.setPower(true);
    pass(device, 1);
    expect(long(read(device, HOLDING.identity, 2, 3), 0)).toBe(0x12345678);
    expect(recordNames(device).slice(-3)).toEqual(['fault+7', 'fault+16', 'fault-16']);
    device.run(device.micros + SECOND);
    cutPower(device);
    expect(recordNames(device).at(-1)).toBe('fault+7');
  });
});

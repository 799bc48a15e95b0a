/**
 * What goes over the wire for each thing that a controller is asked, byte by byte
 * as shared/protocol.md has it, and how often: what may be repeated after silence,
 * and what never is.
 */

import { beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { itemAt } from '../../../shared/assert.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { Controller } from '../../../src/link/controller.ts';
import type { Port } from '../../../src/link/port.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { frame, PROMPT, Responder } from './responder.ts';

const SESSION = 77;
let device: Responder;
let port: Port;
let controller: Controller;

beforeEach(async () => {
  device = new Responder();
  device.setStatus(SESSION);
  const link = virtualLink(new Happenings(device));
  port = {
    path: 'test',
    baudRate: 38_400,
    ...link,
    virtual: true,
    remarks: () => [],
    finish: () => undefined,
  };
  controller = await Controller.open(port, 1);
  device.requests.length = 0;
});

const hex = (bytes: Iterable<number>): string =>
  [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');

/** The requests since the start, without unit and CRC. */
const asked = (): string[] => device.requests.map((bytes) => hex(bytes.subarray(1, -2)));

const SILENT = (): readonly [] => [];
const refuse =
  (code: number): Responder['fate'] =>
  (_, request) => [{ after: 2, bytes: frame(1, itemAt(request, 1) | 0x80, code) }];

/** Counts of registers that the reads asked for. */
const counts = (): number[] =>
  device.requests.filter((bytes) => bytes[1] === 4).map((bytes) => 256 * itemAt(bytes, 4) + itemAt(bytes, 5));

/** What is done, what is sent for it (protocol.md, holding registers and coils), and whether silence repeats it. */
const WRITES: readonly (readonly [
  what: string,
  act: (one: Controller) => Promise<unknown>,
  sent: string,
  times: number,
])[] = [
  ['the trial', (one) => one.commit(0x1234, 300, 0xdeadbeef), '10 01 10 00 04 08 12 34 01 2c de ad be ef', 1],
  [
    'the confirmation',
    (one) => one.confirm(0x1234, 7, 0xdeadbeef),
    '10 01 20 00 04 08 12 34 00 07 de ad be ef',
    3,
  ],
  ['giving up', (one) => one.giveUp(0x1234), '10 01 30 00 01 02 12 34', 1],
  ['hand minutes', (one) => one.setHandMinutes(15), '10 01 50 00 01 02 00 0f', 3],
  ['a visit done', (one) => one.answerVisit('turn', 5, 'done'), '10 01 60 00 03 06 00 02 00 05 00 00', 1],
  [
    'a visit taken back',
    (one) => one.answerVisit('look', 0x102, 'takeBack'),
    '10 01 60 00 03 06 00 00 01 02 00 01',
    1,
  ],
  ['a unit number', (one) => one.setUnit(9), '10 01 70 00 01 02 00 09', 1],
  ['an identity', (one) => one.setIdentity(0x89abcdef), '10 01 72 00 02 04 89 ab cd ef', 3],
  ['output 1 on', (one) => one.hand(1, true), '05 00 00 ff 00', 1],
  ['output 8 off', (one) => one.hand(8, false), '05 00 07 00 00', 1],
  ['the work light on', (one) => one.workLight(true), '05 00 08 ff 00', 1],
];

describe.each(WRITES)('%s', (_, act, sent, times) => {
  it('is one request', async () => {
    await act(controller);
    expect(asked()).toEqual([sent]);
  });

  it(`is sent ${times === 1 ? 'once' : `${times} times`} into silence`, async () => {
    device.fate = SILENT;
    await expect(act(controller)).rejects.toMatchObject({ reason: 'no answer' });
    expect(asked()).toEqual(Array.from({ length: times }, () => sent));
  });
});

describe('the status and the blocks', () => {
  it('are read whole: 42 registers from 0, 122 from each block', async () => {
    await controller.status();
    device.input.set(0x1280, SESSION).set(0x1281, 0x1280);
    device.input.set(0x1200, SESSION).set(0x1201, 0x1200);
    await controller.readSlot(1);
    device.input.set(0x4000 + 0x80 * 44, SESSION).set(0x4001 + 0x80 * 44, 300);
    await controller.readLogBlock(300);
    expect(asked()).toEqual(['04 00 00 00 2a', '04 12 00 00 7a', '04 12 80 00 7a', '04 56 00 00 7a']);
  });

  it('are asked for at another length after each silence, up to the 125 registers of one read', async () => {
    device.input.set(0x1000, SESSION).set(0x1001, 0x1000);
    device.input.set(0x1080, SESSION).set(0x1081, 0x1080);
    let left = 0;
    device.fate = (reply, request) => (left-- > 0 ? [] : PROMPT(reply, request));
    for (let round = 0; round < 3; round++) {
      left = 2;
      await controller.readSlot(0);
    }
    // One more after each silence, and again the shortest after the longest.
    expect(counts()).toEqual([122, 123, 124, 124, 124, 125, 122, 122, 122, 123, 124, 124]);
    device.requests.length = 0;
    left = 1;
    await controller.status();
    expect(counts()).toEqual([44, 45]);
  });

  it('are asked for three times, and then no more', async () => {
    device.fate = SILENT;
    await expect(controller.status()).rejects.toMatchObject({ reason: 'no answer' });
    expect(counts()).toEqual([42, 43, 44]);
    device.fate = PROMPT;
    expect((await controller.status()).session).toBe(SESSION);
  });

  it('give the registers after session and address, however long the answer was', async () => {
    device.input.set(0x4000, SESSION).set(0x4001, 0);
    for (let i = 0; i < 120; i++) device.input.set(0x4002 + i, 256 * (2 * i) + 2 * i + 1);
    let left = 1;
    device.fate = (reply, request) => (left-- > 0 ? [] : PROMPT(reply, request));
    expect([...(await controller.readLogBlock(0))]).toEqual(Array.from({ length: 240 }, (_, at) => at));
  });

  it.each([
    [44, 0x1000, 'mixed up'],
    [300, 300, undefined],
    [0x1_0005, 5, undefined],
  ])('of log block %i are checked by its number: %i', async (block, own, reason) => {
    const at = 0x4000 + 0x80 * (block % 256);
    device.input.set(at, SESSION).set(at + 1, own);
    const read = controller.readLogBlock(block).then(
      () => undefined,
      (failure: { reason: string }) => failure.reason,
    );
    expect(await read).toBe(reason);
  });
});

describe('time-outs', () => {
  it('come after 750 ms, and are followed by a quarter of a second of quiet', async () => {
    const at: number[] = [];
    device.fate = () => {
      at.push(device.micros / 1000);
      return [];
    };
    await controller.status().catch(() => undefined);
    const [first = 0, second = 0, third = 0] = at;
    expect([second - first, third - second]).toEqual([1000, 1000]);
  });

  it('wait longer while bytes still come, and at the most two seconds', async () => {
    const at: number[] = [];
    const noise = Array.from({ length: 100 }, (_, n) => ({
      after: 760 + 45 * n,
      bytes: Uint8Array.of(0x55),
    }));
    device.fate = () => {
      at.push(device.micros / 1000);
      return at.length === 1 ? noise : [];
    };
    await controller.status().catch(() => undefined);
    expect(itemAt(at, 1) - itemAt(at, 0)).toBe(750 + 2000);
  });

  it('come a quarter of a second after the last byte', async () => {
    const at: number[] = [];
    device.fate = () => {
      at.push(device.micros / 1000);
      return at.length === 1 ? [{ after: 790, bytes: Uint8Array.of(0x55) }] : [];
    };
    await controller.status().catch(() => undefined);
    // The line is looked at every 50 ms from the time-out on: the byte is seen at 800.
    expect(itemAt(at, 1) - itemAt(at, 0)).toBe(800 + 250);
  });

  it('do not come where an answer takes nearly as long', async () => {
    device.fate = (reply) => [{ after: 740, bytes: reply }];
    await controller.status();
    expect(counts()).toEqual([42]);
  });
});

describe('a controller that is busy', () => {
  it('is asked again every quarter of a second, for five seconds', async () => {
    const at: number[] = [];
    const busy = refuse(6);
    device.fate = (reply, request) => {
      if (request[1] !== 16) return PROMPT(reply, request);
      at.push(device.micros / 1000);
      return busy(reply, request);
    };
    await expect(controller.setHandMinutes(5)).rejects.toMatchObject({ code: 6, reason: 'busy' });
    expect(at).toHaveLength(20);
    // 2 ms for the answer, and at most a step of the line beside it.
    for (let n = 1; n < at.length; n++) {
      const apart = itemAt(at, n) - itemAt(at, n - 1);
      expect(apart).toBeGreaterThanOrEqual(250);
      expect(apart).toBeLessThan(256);
    }
  });

  it('is asked once more when it has time', async () => {
    let left = 3;
    const busy = refuse(6);
    device.fate = (reply, request) => (left-- > 0 ? busy(reply, request) : PROMPT(reply, request));
    await controller.commit(1, 2, 3);
    expect(device.requests).toHaveLength(4);
    expect(device.written).toHaveLength(4);
  });

  it.each([
    [
      6,
      1 << 5,
      /measures 4321 mV at its supply and writes nothing below \d+ mV \(setting the hand minutes\)/,
    ],
    [7, 1 << 6, /is busy \(setting the hand minutes\)/],
  ])('says so, and why where its supply is low (fault %i of log-format.md)', async (_, faults, words) => {
    device.input.set(15, faults).set(35, 4321);
    const busy = refuse(6);
    device.fate = (reply, request) => (request[1] === 16 ? busy(reply, request) : PROMPT(reply, request));
    await expect(controller.setHandMinutes(5)).rejects.toThrow(words);
  });

  it('is asked no more for another refusal', async () => {
    device.fate = refuse(3);
    await expect(controller.setHandMinutes(5)).rejects.toMatchObject({ code: 3, reason: 'refused' });
    expect(await controller.answerVisit('look', 1, 'done')).toBe(false);
    expect(device.requests).toHaveLength(2);
    device.fate = refuse(4);
    await expect(controller.answerVisit('look', 1, 'done')).rejects.toMatchObject({ code: 4 });
  });
});

describe('an upload', () => {
  it('is opened, and sent by sixteen registers; a last odd byte is padded', async () => {
    device.input.set(40, 0x4321);
    const table = Uint8Array.from({ length: 67 }, (_, at) => at);
    const parts: number[] = [];
    expect(await controller.upload(table, (part) => parts.push(part))).toBe(0x4321);
    expect(device.written.map(({ address, values }) => [address, values.length])).toEqual([
      [0x100, 1],
      [0x2000, 16],
      [0x2010, 16],
      [0x2020, 2],
    ]);
    const bytes = device.written
      .slice(1)
      .flatMap(({ values }) => values.flatMap((one) => [one >> 8, one & 255]));
    expect(bytes).toEqual([...table, 0xff]);
    expect(parts).toEqual([16 / 34, 32 / 34, 1]);
  });

  it.each([
    [1, [0x100, 0x100, 0x2000, 0x2010]],
    [2, [0x100, 0x2000, 0x2000, 0x2010]],
  ])('goes on where answer %i was lost', async (lost, addresses) => {
    device.input.set(40, 5);
    let count = 0;
    device.fate = (reply, request) => (request[1] === 16 && ++count === lost ? [] : PROMPT(reply, request));
    await controller.upload(new Uint8Array(64), () => undefined);
    expect(device.written.map(({ address }) => address)).toEqual(addresses);
  });

  it('without a session is none', async () => {
    await expect(controller.upload(new Uint8Array(20), () => undefined)).rejects.toMatchObject({
      reason: 'restarted',
    });
  });
});

describe('the clock', () => {
  it('is set to a second 4 ms before it begins, for the wire, and never twice', async () => {
    // From a whole second, which a 256th of one can say.
    await port.pace.wait(1000 - ((device.micros / 1000) % 1000));
    const { seconds } = port.pace.now();
    let at = 0;
    device.fate = () => {
      at = device.micros % 1_000_000;
      return [];
    };
    await expect(controller.setClock()).rejects.toMatchObject({ reason: 'no answer' });
    expect(device.requests).toHaveLength(1);
    expect(at).toBe(996_000);
    const next = utcSeconds(seconds + 1);
    expect(device.written).toEqual([{ address: 0x140, values: [next >>> 16, next & 0xffff, 0] }]);
  });

  it('is set to the second after, when too little is left of this one', async () => {
    await port.pace.wait(1000 - ((device.micros / 1000) % 1000) + 999);
    const { seconds } = port.pace.now();
    let left = 0;
    device.fate = (reply, request) => {
      left = 1000 - (device.micros % 1_000_000) / 1000;
      return PROMPT(reply, request);
    };
    await controller.setClock();
    const next = utcSeconds(seconds + 2);
    // 4 ms before it begins, less what a 256th of a second hides (3.9 ms).
    expect(left).toBeGreaterThan(0);
    expect(left).toBeLessThanOrEqual(4);
    expect(device.written).toEqual([{ address: 0x140, values: [next >>> 16, next & 0xffff, 0] }]);
  });
});

describe('a port', () => {
  it.each([
    ['Error: Permission denied, cannot open /dev/ttyUSB0', 'no permission'],
    ['Error: Resource temporarily unavailable Cannot lock port', 'port busy'],
    ['Error: something odd', 'port failed'],
  ])('that does not open says why: %s', async (words, reason) => {
    const binding = { ...port.binding, open: () => Promise.reject(new Error(words)) };
    await expect(Controller.open({ ...port, binding }, 1)).rejects.toMatchObject({ kind: 'link', reason });
  });
});

describe('a unit number', () => {
  it('that was given is the one that is asked from then on', async () => {
    await controller.setUnit(9);
    expect(controller.unit).toBe(9);
    device.unit = 9;
    await controller.status();
    expect(device.requests.map((bytes) => bytes[0])).toEqual([1, 9]);
  });
});

describe('a meter', () => {
  const tell = (supply: number, reference: number, identity = 0x00070008): void => {
    device.input
      .set(35, supply)
      .set(36, identity >>> 16)
      .set(37, identity & 0xffff);
    device.fate = (reply, request) =>
      request[1] === 3
        ? [{ after: 2, bytes: frame(1, 3, 6, 0, 7, 0, 8, reference >> 8, reference & 255) }]
        : PROMPT(reply, request);
  };

  it.each([
    // By protocol.md: reference · meter / supply, 900 to 1300 mV.
    [5000, 1100, 4500, 990],
    [4400, 1100, 3600, 900],
    [4400, 1100, 5200, 1300],
  ])(
    'of a supply of %i mV by a reference of %i mV shows %i mV: %i mV it is',
    async (supply, reference, shown, right) => {
      tell(supply, reference);
      expect(await controller.meterSupply(shown)).toBe(supply);
      expect(asked()).toContain(`10 01 74 00 01 02 ${hex([right >> 8, right & 255])}`);
    },
  );

  it.each([
    [4400, 1100, 3597, 'not believed'],
    [4400, 1100, 5203, 'not believed'],
    [5000, 0, 5000, 'wrong board'],
    [0, 1100, 5000, 'not believed'],
  ])('is not believed, or not understood: %i, %i, %i', async (supply, reference, shown, reason) => {
    tell(supply, reference);
    const failure: { message: string } = await controller.meterSupply(shown).catch((error) => error);
    expect(failure).toMatchObject({ reason });
    if (reason === 'not believed') expect(failure.message).toMatch(`reads ${supply} mV`);
    expect(device.written).toEqual([]);
  });

  it('is not told to another controller', async () => {
    tell(5000, 1100, 0x00070009);
    await expect(controller.meterSupply(5000)).rejects.toMatchObject({ reason: 'mixed up' });
    expect(device.written).toEqual([]);
  });
});

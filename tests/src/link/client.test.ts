import type { BindingPortInterface, OpenOptions } from '@serialport/bindings-cpp';
import { beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { Controller } from '../../../src/link/controller.ts';
import { LinkFailure } from '../../../src/link/failure.ts';
import type { Port } from '../../../src/link/port.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { frame, PROMPT, Responder } from './responder.ts';

let device: Responder;
let port: Port;

beforeEach(() => {
  device = new Responder();
  device.setStatus(77);
  port = {
    path: 'test',
    baudRate: 38_400,
    ...virtualLink(new Happenings(device)),
    virtual: true,
    remarks: () => [],
    finish: () => undefined,
  };
});

/** Puts block `address` into the map: session, own address, then the address's high byte everywhere. */
function putBlock(address: number, session = 77, own = address): void {
  device.input.set(address, session);
  device.input.set(address + 1, own);
  for (let i = 2; i < 122; i++) device.input.set(address + i, address >> 8);
}

/** The port with something else in the way of its binding. */
function through(change: (opened: BindingPortInterface, options: OpenOptions) => void): Port {
  const { binding } = port;
  const open: typeof binding.open = async (options) => {
    const opened = await binding.open(options);
    change(opened, options);
    return opened;
  };
  return { ...port, binding: { ...binding, open } };
}

describe('opening a port', () => {
  it('leaves the modem lines alone, so that the next command does not reset the board', async () => {
    const options: OpenOptions[] = [];
    const controller = await Controller.open(
      through((_, one) => options.push(one)),
      1,
    );
    expect(options).toEqual([expect.objectContaining({ path: 'test', baudRate: 38_400, hupcl: false })]);
    await controller.close();
  });

  it('asks nothing while the bootloader still talks, then for the basic identification (43/14)', async () => {
    const QUIET_FROM = 3_200_000;
    const sent = device.takeSent.bind(device);
    device.takeSent = () => (device.micros < QUIET_FROM ? Uint8Array.of(0x55) : sent());
    let first = 0;
    device.fate = (reply, request) => {
      first ||= device.micros;
      return PROMPT(reply, request);
    };
    const controller = await Controller.open(port, 1);
    expect(first).toBeGreaterThanOrEqual(QUIET_FROM);
    expect([...itemAt(device.requests, 0).subarray(0, -2)]).toEqual([1, 43, 14, 1, 0]);
    await controller.close();
  });

  it('is undone when what answers is not ours, or refuses; and by closing', async () => {
    let closed = 0;
    const counting = through((opened) => {
      const close = opened.close.bind(opened);
      opened.close = () => {
        closed++;
        return close();
      };
    });
    device.vendor = 'Sprinkler';
    await expect(Controller.open(counting, 1)).rejects.toMatchObject({ reason: 'not a controller' });
    expect(closed).toBe(1);
    device.vendor = 'Leanward';
    device.fate = (_, request) => [{ after: 2, bytes: frame(1, itemAt(request, 1) | 0x80, 1) }];
    await expect(Controller.open(counting, 1)).rejects.toMatchObject({ code: 1, reason: 'refused' });
    expect(closed).toBe(2);
    device.fate = PROMPT;
    await (await Controller.open(counting, 1)).close();
    expect(closed).toBe(3);
  });
});

describe('the link over a line that behaves', () => {
  it('is silent for two seconds after opening, then asks who is there', async () => {
    let first = 0;
    device.fate = (reply) => {
      first ||= device.micros;
      return PROMPT(reply, reply);
    };
    const controller = await Controller.open(port, 1);
    expect(first).toBeGreaterThanOrEqual(2_000_000);
    expect(itemAt(device.requests, 0)[1]).toBe(43);
    expect(device.opened).toBe(1);
    await controller.close();
  });

  it('takes replies in pieces with gaps of 16 ms, and behind noise', async () => {
    const controller = await Controller.open(port, 1);
    device.fate = (reply) => [
      { after: 1, bytes: Uint8Array.of(0, 0xff, 1) },
      { after: 3, bytes: reply.subarray(0, 1) },
      { after: 19, bytes: reply.subarray(1, 40) },
      { after: 35, bytes: reply.subarray(40) },
    ];
    expect((await controller.status()).session).toBe(77);
    await controller.close();
  });

  it('keeps one request outstanding, whoever asks', async () => {
    const controller = await Controller.open(port, 1);
    const asked: number[] = [];
    device.fate = (reply) => {
      asked.push(device.micros);
      return [{ after: 20, bytes: reply }];
    };
    await Promise.all([controller.status(), controller.status(), controller.status()]);
    expect(asked).toHaveLength(3);
    expect(itemAt(asked, 1) - itemAt(asked, 0)).toBeGreaterThanOrEqual(20_000);
    expect(itemAt(asked, 2) - itemAt(asked, 1)).toBeGreaterThanOrEqual(20_000);
    await controller.close();
  });
});

describe('the link over a line that misbehaves', () => {
  it('never takes a late reply for the answer to the next question', async () => {
    const controller = await Controller.open(port, 1);
    for (const address of [0x1000, 0x1080, 0x1200, 0x1280]) putBlock(address);
    // Each reply comes 1 to 3 s late, past every time-out; the last attempts are prompt.
    let count = 0;
    device.fate = (reply) => [{ after: ++count % 3 === 0 ? 5 : 1000 + 700 * (count % 3), bytes: reply }];
    for (let round = 0; round < 6; round++) {
      const slot = round % 2;
      const { marks, bytes } = await controller.readSlot(slot);
      expect(new Set([...marks, ...bytes])).toEqual(new Set([0, 0x10 + 2 * slot]));
    }
    await controller.close();
  });

  it('never takes a late status for the next one', async () => {
    const controller = await Controller.open(port, 1);
    // The first reply tells 1 reset, and comes while the second question is asked.
    let count = 0;
    device.input.set(24, 1);
    device.fate = (reply) => {
      count++;
      device.input.set(24, 2);
      return count === 1 ? [{ after: 1010, bytes: reply }] : [{ after: 100, bytes: reply }];
    };
    expect((await controller.status()).resets).toBe(2);
    expect(sure(device.requests.at(-1))[5]).not.toBe(sure(device.requests.at(-2))[5]);
    await controller.close();
  });

  it('asks again after broken frames, and gives up with a sentence', async () => {
    const controller = await Controller.open(port, 1);
    let count = 0;
    device.fate = (reply) => {
      const broken = Uint8Array.from(reply);
      broken[7] = itemAt(broken, 7) ^ 0x10;
      return [{ after: 3, bytes: ++count < 3 ? broken : reply }];
    };
    expect((await controller.status()).session).toBe(77);
    expect(count).toBe(3);
    device.fate = (reply) => [{ after: 3, bytes: reply.subarray(0, 20) }];
    await expect(controller.status()).rejects.toThrow(/No controller answers on test as unit 1/);
    await controller.close();
  });

  it('notices a restart by the session, in status and in blocks', async () => {
    const controller = await Controller.open(port, 1);
    putBlock(0x1000, 78);
    await expect(controller.readSlot(0)).rejects.toMatchObject({ reason: 'restarted' });
    device.setStatus(78);
    await expect(controller.status()).rejects.toMatchObject({ reason: 'restarted' });
    await controller.close();
  });

  it('refuses a block that carries another address', async () => {
    const controller = await Controller.open(port, 1);
    putBlock(0x1000, 77, 0x1080);
    await expect(controller.readSlot(0)).rejects.toMatchObject({ reason: 'mixed up' });
    await controller.close();
  });

  it('says that nothing answers, within about ten seconds', async () => {
    await expect(Controller.open(port, 2)).rejects.toMatchObject({ kind: 'link', reason: 'no answer' });
    expect(device.micros).toBeLessThan(12_000_000);
    expect(device.requests.length).toBeGreaterThan(8);
  });

  it('says that something else answers', async () => {
    device.vendor = 'Sprinkler';
    await expect(Controller.open(port, 1)).rejects.toThrow(/not a Leanward controller/);
  });

  it('says that the port is lost when its cable is pulled while an answer is awaited, and after', async () => {
    let pull = (): void => undefined;
    const pulled = new Promise<never>((_, reject) => {
      pull = () => reject(new Error('input/output error'));
    });
    pulled.catch(() => undefined);
    const cabled = through((opened) => {
      const read = opened.read.bind(opened);
      opened.read = (...words) => Promise.race([read(...words), pulled]);
    });
    const controller = await Controller.open(cabled, 1);
    device.fate = () => {
      pull();
      return [];
    };
    await expect(controller.status()).rejects.toMatchObject({ kind: 'link', reason: 'port lost' });
    const asked = device.requests.length;
    await expect(controller.status()).rejects.toMatchObject({ kind: 'link', reason: 'port lost' });
    expect(device.requests).toHaveLength(asked);
    await controller.close();
  });

  it('says that the port is lost when nothing can be written to it', async () => {
    let isBroken = false;
    const broken = through((opened) => {
      const write = opened.write.bind(opened);
      opened.write = (bytes) => (isBroken ? Promise.reject(new Error('input/output error')) : write(bytes));
    });
    const controller = await Controller.open(broken, 1);
    isBroken = true;
    await expect(controller.status()).rejects.toMatchObject({ kind: 'link', reason: 'port lost' });
    await controller.close();
  });

  it('tells an exception from silence', async () => {
    const controller = await Controller.open(port, 1);
    device.fate = (_, request) => [{ after: 2, bytes: frame(1, itemAt(request, 1) | 0x80, 3) }];
    const failure = await controller.hand(9, true).catch((error: unknown) => error);
    expect(failure).toBeInstanceOf(LinkFailure);
    expect(failure).toMatchObject({ code: 3, reason: 'refused' });
    await controller.close();
  });
});

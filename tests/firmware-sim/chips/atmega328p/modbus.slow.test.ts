/**
 * Two other Modbus programs, mbpoll and pymodbus, against the machine code:
 * over a pseudo-terminal, at the pace of the real clock.
 */

import { execFile } from 'node:child_process';
import { createServer, type Server, type Socket } from 'node:net';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { makePty, type Pty } from '../../../src/link/pty.ts';
import { needs } from '../../../support/needs.ts';
import { DAILY, START } from '../../controller/host.ts';
import { chip } from './chip.ts';

const run = promisify(execFile);
const SECOND = 1_000_000;
const PACE_MS = 4;

/** Serves a chip at noon, its lamps lit, on a local port; virtual time follows the real one. */
function serveChip(): Promise<{ server: Server; port: number; stop: () => void }> {
  const device = chip({ utc: utcSeconds(START + 12 * 3600), table: encodeTable(DAILY).bytes });
  device.run(20 * SECOND);
  const sockets = new Set<Socket>();
  let before = performance.now();
  const timer = setInterval(() => {
    const now = performance.now();
    device.run(device.micros + (now - before) * 1000);
    before = now;
    const sent = device.takeSent();
    if (sent.length > 0) for (const socket of sockets) socket.write(sent);
  }, PACE_MS);
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.on('data', (bytes) => device.receive(bytes));
    socket.on('close', () => sockets.delete(socket));
    socket.on('error', () => sockets.delete(socket));
  });
  const stop = (): void => {
    clearInterval(timer);
    for (const socket of sockets) socket.destroy();
    server.close();
  };
  return new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      resolve({ server, port: typeof address === 'object' && address ? address.port : 0, stop });
    });
  });
}

const PYTHON = `
import sys, types
# Debian's package imports its asyncio transport even where only the plain one is used.
sys.modules.setdefault('serial_asyncio', types.SimpleNamespace(create_serial_connection=None))
from pymodbus.client import ModbusSerialClient
client = ModbusSerialClient(sys.argv[1], baudrate=38400, timeout=2)
assert client.connect()
status = client.read_input_registers(0, 42, slave=1).registers
print('status', len(status), status[2], status[3], status[10])
print('coils', client.read_coils(0, 9, slave=1).bits[:9])
print('write', client.write_coil(0, False, slave=1).isError())
print('coil', client.read_coils(0, 1, slave=1).bits[0])
print('minutes', client.write_registers(0x0150, [25], slave=1).isError(), client.read_holding_registers(0x0150, 1, slave=1).registers)
log = client.read_input_registers(0x4000, 122, slave=1).registers
print('log', len(log), log[1])
print('refused', client.read_input_registers(0xC000, 1, slave=1).exception_code)
client.close()
`;

needs(['socat', 'mbpoll', 'python3-pymodbus'], 'other Modbus programs', () => {
  let served: Awaited<ReturnType<typeof serveChip>>;
  let pty: Pty;
  beforeAll(async () => {
    served = await serveChip();
    pty = await makePty(served.port);
  });
  afterAll(async () => {
    await pty.stop();
    served.stop();
  });

  it('mbpoll reads the status and the coils of the chip', async () => {
    const line = ['-m', 'rtu', '-a', '1', '-b', '38400', '-P', 'none', '-0', '-1', '-o', '2'];
    const values = async (...words: string[]): Promise<number[]> => {
      const { stdout } = await run('mbpoll', [...line, ...words, pty.path]);
      return [...stdout.matchAll(/^\[\d+\]:\s+(\d+)/gm)].map((match) => Number(match[1]));
    };
    expect((await values('-t', '3', '-r', '1', '-c', '3')).slice(0, 3)).toEqual([0, 1, 1]);
    expect(await values('-t', '0', '-r', '0', '-c', '8')).toEqual(Array(8).fill(1));
  });

  it('pymodbus reads, switches, sets, and is refused', async () => {
    const { stdout } = await run('/usr/bin/python3', ['-c', PYTHON, pty.path]);
    expect(stdout.trim().split('\n')).toEqual([
      'status 42 1 1 255',
      'coils [True, True, True, True, True, True, True, True, False]',
      'write False',
      'coil False',
      'minutes False [25]',
      'log 122 0',
      'refused 2',
    ]);
  });
});

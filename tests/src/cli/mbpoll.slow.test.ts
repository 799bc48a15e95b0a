import { type ChildProcess, execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { makePty, type Pty } from '../link/pty.ts';
import { PLANS, startVirtual } from './run.ts';

const run = promisify(execFile);

/** Registers or coils as mbpoll prints them: `[4]: 	12593`. */
function values(out: string): number[] {
  return [...out.matchAll(/^\[\d+\]:\s+(\d+)/gm)].map((match) => Number(match[1]));
}

needs(['socat', 'mbpoll'], 'another program on the same standard', () => {
  let server: ChildProcess;
  let pty: Pty;
  beforeAll(async () => {
    const virtual = await startVirtual('--plan', join(PLANS, 'pantry.plan.yaml'));
    server = virtual.child;
    pty = await makePty(virtual.port);
    // Its bootloader takes a second, and output 3 waits four more (behaviour.md, section 3).
    await new Promise((resolve) => setTimeout(resolve, 5500));
  });
  afterAll(async () => {
    await pty.stop();
    server.kill();
  });

  const mbpoll = async (...words: string[]): Promise<string> => {
    const line = ['-m', 'rtu', '-a', '1', '-b', '38400', '-P', 'none', '-0', '-1', '-o', '1'];
    const [extra, written] = [
      words.filter((word) => !word.startsWith('=')),
      words.filter((word) => word.startsWith('=')),
    ];
    const { stdout } = await run('mbpoll', [
      ...line,
      ...extra,
      pty.path,
      ...written.map((word) => word.slice(1)),
    ]);
    return stdout;
  };

  it('reads the clock, switches an output, and sees it on', async () => {
    const status = values(await mbpoll('-t', '3', '-r', '0', '-c', '12'));
    expect(status.slice(1, 4)).toEqual([0, 1, 1]);
    const seconds = itemAt(status, 4) * 0x10000 + itemAt(status, 5);
    // 2026-02-16T00:00:00Z in seconds from 2000-01-01, by the system's own calendar.
    const midnight = (Date.UTC(2026, 1, 16) - Date.UTC(2000, 0, 1)) / 1000;
    expect(seconds).toBeGreaterThanOrEqual(midnight);
    expect(seconds).toBeLessThan(midnight + 3600);
    expect(status[10]).toBe(0);
    await mbpoll('-t', '0', '-r', '2', '=1');
    await until(async () => values(await mbpoll('-t', '0', '-r', '0', '-c', '8'))[2] === 1);
    expect(values(await mbpoll('-t', '0', '-r', '0', '-c', '8'))).toEqual([0, 0, 1, 0, 0, 0, 0, 0]);
    expect(values(await mbpoll('-t', '3', '-r', '10', '-c', '1'))).toEqual([4]);
  });

  it('gets an exception for what is not in the map', async () => {
    await expect(mbpoll('-t', '4', '-r', '4096', '-c', '1')).rejects.toMatchObject({
      stderr: expect.stringMatching(/Illegal data address/i),
    });
  });
});

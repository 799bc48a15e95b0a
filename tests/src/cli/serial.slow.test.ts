import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { makePty } from '../link/pty.ts';
import { jsonOf, leanward, PLANS, startVirtual } from './run.ts';

needs(['socat'], 'a real serial port with a virtual controller behind it', () => {
  it('flashes, tells the status and reads the log in real time', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'leanward-'));
    const today = new Date().toISOString().slice(0, 10);
    const plan = join(folder, 'counter.plan.yaml');
    const text = readFileSync(join(PLANS, 'smallest.plan.yaml'), 'utf8');
    writeFileSync(plan, text.replace('2026-02-16', today));
    const { child, port } = await startVirtual(join(folder, 'rack.json'), '--at', today);
    const pty = await makePty(port);
    try {
      const flashed = await leanward('flash', plan, '--port', pty.path, '--step-clock', '--json');
      expect(flashed.code).toBe(0);
      expect(jsonOf('flash', flashed.out)).toMatchObject({ runs: 'new', controller: 'rack' });
      const status = jsonOf('status', (await leanward('status', '--port', pty.path, '--json')).out);
      const { aheadSeconds } = status.clock as { aheadSeconds: number };
      // The virtual controller's time runs with this computer's; the flash set it.
      expect(Math.abs(aheadSeconds)).toBeLessThan(0.5);
      const log = jsonOf('log', (await leanward('log', '--port', pty.path, '--json')).out);
      expect((log.records as { type: string }[]).some(({ type }) => type === 'confirmed')).toBe(true);
    } finally {
      await pty.stop();
      const ended = new Promise((resolve) => child.once('close', resolve));
      child.kill('SIGTERM');
      await ended;
    }
    const kept = await leanward('status', '--port', `virtual:${join(folder, 'rack.json')}`, '--json');
    expect(jsonOf('status', kept.out).table).not.toBeNull();
    rmSync(folder, { recursive: true, force: true });
  });
});

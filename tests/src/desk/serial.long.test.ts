/** The desk at a real serial port, with a virtual controller behind it in real time. */

import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { leanward, PLANS, startVirtual } from '../cli/run.ts';
import { makePty } from '../link/pty.ts';
import { begin, flashTo, isAsking, isOver, jobAt, jobThat, listen, textOf } from './at-work.ts';
import { end, folderWith, startDesk, sweep } from './desk.ts';

const PLAN = 'counter.plan.yaml';

needs(['socat'], 'the desk at a serial port', () => {
  it('flashes, follows status and log, lights lamps, and gives the port free', async () => {
    const folder = folderWith();
    const today = new Date().toISOString().slice(0, 10);
    const text = readFileSync(join(PLANS, 'smallest.plan.yaml'), 'utf8');
    writeFileSync(join(folder, PLAN), text.replace('2026-02-16', today));
    const far = await startVirtual(join(folder, 'far.json'), '--at', today);
    const pty = await makePty(far.port);
    const desk = await startDesk(folder);
    const at = { port: pty.path, plan: PLAN };
    try {
      const window = await listen(desk, 'one');
      // A board that was never flashed keeps no log, but shows what it does for as long as it is looked at.
      await begin(desk, { kind: 'look', ...at });
      const blank = await jobThat(desk, pty.path, (job) => textOf(job).includes('never flashed'));
      expect(new Map(blank.status).get('Table')).toBeDefined();
      expect(isOver(blank)).toBe(false);
      // The computer's clock is not the day's beginning: that is asked too.
      const flashed = await flashTo(desk, pty.path, at);
      expect(flashed.ended).toEqual({});
      expect(textOf(flashed)).toMatch(/rack now runs this plan: table number 1/);
      await begin(desk, { kind: 'look', ...at });
      const seen = await jobThat(desk, pty.path, (job) => textOf(job).includes('Following'));
      expect(new Map(seen.status).get('Table')).toMatch(/^number 1/);
      expect(textOf(seen)).toMatch(/table number 1 confirmed/);
      // Another program is told by the system itself.
      const other = await leanward('status', '--port', pty.path);
      expect(other.err).toMatch(/is in use by another program/);
      expect(isOver(await jobAt(desk, pty.path))).toBe(false);
      // Looking gives way; the lamp goes out when its page is gone, and the board writes that down.
      const lamps = await listen(desk, 'lamps');
      await begin(desk, { kind: 'lamps', ...at, window: 'lamps' });
      await jobThat(desk, pty.path, isAsking);
      lamps.close();
      expect((await jobThat(desk, pty.path, isOver)).ended).toEqual({});
      await begin(desk, { kind: 'look', ...at });
      const after = await jobThat(desk, pty.path, (job) => textOf(job).includes('Following'));
      expect(textOf(after)).toMatch(
        /switched on by hand for 10 min\n.*\n?.*hand switching of .* ended: released/,
      );
      // Nobody looks any more: the port is free.
      window.close();
      await jobThat(desk, pty.path, isOver);
      expect((await leanward('status', '--port', pty.path)).code).toBe(0);
    } finally {
      await end(desk.child);
      await pty.stop();
      await end(far.child);
      sweep(folder);
    }
  });
});

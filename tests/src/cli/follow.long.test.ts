/** `log --follow` on a real serial port: what the controller writes arrives in the archive, also over a power cut and a locked archive. */

import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { openArchive } from '../../../src/archive/open.ts';
import { readRecords } from '../../../src/archive/read.ts';
import { loadSqlite } from '../../../src/archive/sqlite.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { makePty } from '../link/pty.ts';
import { leanward, PLANS, start, startVirtual } from './run.ts';

/** Types of the records in an archive, in order. */
async function typesIn(place: string): Promise<string[]> {
  if (!existsSync(place)) return [];
  const archive = await openArchive(place, 0);
  const types: string[] = [];
  for (const { identity } of await archive.db.selectFrom('controllers').select('identity').execute()) {
    for await (const record of readRecords(archive, identity)) types.push(record.type);
  }
  await archive.close();
  return types;
}

/** Another program writes to the archive until the follower has said that it waits. */
async function lockedUntil(place: string, hasSaid: () => boolean): Promise<void> {
  const other = new (await loadSqlite())(place);
  other.exec('begin exclusive');
  await until(async () => hasSaid());
  other.exec('rollback');
  other.close();
}

needs(['socat'], 'following a log', () => {
  it('takes in what comes, waits for a locked archive, and goes on after a power cut', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'leanward-'));
    const plan = join(folder, 'counter.plan.yaml');
    const today = new Date().toISOString().slice(0, 10);
    const text = readFileSync(join(PLANS, 'smallest.plan.yaml'), 'utf8');
    writeFileSync(plan, text.replace('2026-02-16', today));
    const { child, port } = await startVirtual(
      join(folder, 'rack.json'),
      '--at',
      today,
      '--event',
      '+90s cut 2s',
    );
    const pty = await makePty(port);
    const place = join(folder, 'counter.archive.sqlite');
    try {
      expect((await leanward('flash', plan, '--port', pty.path, '--step-clock')).code).toBe(0);
      const follower = start(['log', plan, '--port', pty.path, '--follow', '1']);
      let said = '';
      sure(follower.stderr).on('data', (text: Buffer) => (said += text));
      await until(async () => follower.exitCode !== null || said.includes('Following'));
      await lockedUntil(
        place,
        () => follower.exitCode !== null || /Another program is writing to .* Trying again\./.test(said),
      );
      let types: string[] = [];
      await until(async () => {
        types = await typesIn(place);
        return follower.exitCode !== null || types.filter((type) => type === 'boot').length >= 2;
      });
      expect(follower.exitCode).toBeNull();
      const stopped = new Promise((resolve) => follower.once('close', resolve));
      follower.kill('SIGKILL');
      await stopped;
      expect(types).toContain('confirmed');
      expect(types.filter((type) => type === 'boot').length).toBeGreaterThanOrEqual(2);
    } finally {
      await pty.stop();
      const ended = new Promise((resolve) => child.once('close', resolve));
      child.kill('SIGTERM');
      await ended;
      rmSync(folder, { recursive: true, force: true });
    }
  });
});

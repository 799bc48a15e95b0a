/** The command as `npm install -g .` leaves it: a link in a folder of programs, used from a grower's own folder. */

import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { PLANS } from './run.ts';

it('leanward check plan.yaml works from another folder', () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-anywhere-'));
  const launcher = fileURLToPath(new URL('../../../src/leanward.js', import.meta.url));
  symlinkSync(launcher, join(folder, 'leanward'));
  copyFileSync(join(PLANS, 'pantry.plan.yaml'), join(folder, 'plan.yaml'));
  const { status, stdout } = spawnSync(process.execPath, ['leanward', 'check', 'plan.yaml'], {
    cwd: folder,
    encoding: 'utf8',
  });
  expect(status).toBe(0);
  expect(stdout).toContain('Europe/Lisbon');
  rmSync(folder, { recursive: true });
});

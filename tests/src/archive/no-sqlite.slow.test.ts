/** A Node without SQLite, on a computer for which the package brings no program. */

import { existsSync } from 'node:fs';
import { expect, it, vi } from 'vitest';
import { openArchive } from '../../../src/archive/open.ts';

vi.mock('node:module', async (original) => ({
  ...(await original<typeof import('node:module')>()),
  isBuiltin: () => false,
}));
vi.mock('@photostructure/sqlite', () => {
  throw new Error('No native build was found\nin such a place');
});

it('is told what to do, and nothing is made', async () => {
  await expect(openArchive('never-made.archive.sqlite', 0)).rejects.toMatchObject({
    kind: 'usage',
    message: expect.stringContaining('no SQLite of its own'),
    hint: expect.stringContaining('npm rebuild'),
  });
  expect(existsSync('never-made.archive.sqlite')).toBe(false);
});

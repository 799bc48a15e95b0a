/** Many kills; the first twenty are in `kill.slow.test.ts`. */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { it } from 'vitest';
import { many } from '../../support/share.ts';
import { bundleProgram } from './bundle.ts';
import { killAgainAndAgain } from './killing.ts';

const KILLS = many(200);

it(`loses and doubles nothing over ${KILLS} kills`, async () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-kills-'));
  await killAgainAndAgain(await bundleProgram('tests/src/archive/appender.ts'), folder, KILLS);
  rmSync(folder, { recursive: true });
});

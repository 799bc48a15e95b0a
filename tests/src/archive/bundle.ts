/** Bundles a TypeScript program of the tests so that plain Node can run it as a process of its own. */

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));

/** Path of the runnable file. It lies under node_modules, so that packages are found from there. */
export async function bundleProgram(source: string): Promise<string> {
  const folder = join(ROOT, 'node_modules/.cache/leanward-tests');
  mkdirSync(folder, { recursive: true });
  const outfile = join(folder, `${source.replace(/\W+/g, '-')}-${process.pid}.mjs`);
  await build({
    absWorkingDir: ROOT,
    entryPoints: [source],
    outfile,
    bundle: true,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    packages: 'external',
    logLevel: 'silent',
  });
  return outfile;
}

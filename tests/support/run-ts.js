/**
 * Runs a TypeScript file of this project with Node alone: bundles it in memory
 * (packages stay outside) and imports the result.
 *
 * Usage: node tests/support/run-ts.js tests/bench/bench.ts [arguments]
 */

import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('../..', import.meta.url));
const entry = resolve(process.argv[2] ?? '');
const folder = join(root, 'node_modules', '.cache', 'run-ts');
mkdirSync(folder, { recursive: true });
const outfile = join(folder, `${process.pid}.mjs`);

/** A bundled module still finds its neighbours where its source lies. */
const ownUrl = {
  name: 'own-url',
  setup(builder) {
    builder.onLoad({ filter: /\.ts$/ }, ({ path }) => ({
      contents: readFileSync(path, 'utf8').replaceAll(
        'import.meta.url',
        JSON.stringify(pathToFileURL(path).href),
      ),
      loader: 'ts',
    }));
  },
};

await build({
  absWorkingDir: root,
  entryPoints: [entry],
  outfile,
  bundle: true,
  packages: 'external',
  platform: 'node',
  target: 'node20',
  format: 'esm',
  plugins: [ownUrl],
  logLevel: 'error',
});
process.argv.splice(1, 2, entry);
try {
  await import(pathToFileURL(outfile).href);
} finally {
  rmSync(outfile, { force: true });
}

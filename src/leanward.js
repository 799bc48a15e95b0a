#!/usr/bin/env node
/**
 * Starts Leanward: runs the bundle in dist/, building it first where it is
 * missing or older than the sources (as after a pull in a checkout).
 *
 * Always holds: plain JavaScript with Node's own modules only, so that it runs
 * before anything is built.
 */

import { readdirSync, statSync } from 'node:fs';
import module from 'node:module';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const ENTRY = `${ROOT}dist/leanward.js`;
const SOURCES = ['src', 'compiler', 'firmware-sim', 'shared', 'boards', 'package.json'];

/** Newest change of a file or of anything under a folder, in ms since 1970; 0 when it is not there. */
function newest(path) {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat === undefined) return 0;
  if (!stat.isDirectory()) return stat.mtimeMs;
  return readdirSync(path).reduce((latest, name) => Math.max(latest, newest(`${path}/${name}`)), 0);
}

const built = newest(ENTRY);
if (built === 0 || SOURCES.some((source) => newest(ROOT + source) > built)) {
  const { build } = await import('./cli/scripts/build.js');
  const failure = await build();
  if (failure !== undefined) {
    process.stderr.write(`leanward: could not be built from its sources.\n${failure}\n`);
    process.exit(70);
  }
}
module.enableCompileCache?.();
await import(new URL('../dist/leanward.js', import.meta.url).href);

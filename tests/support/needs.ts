/**
 * Tests that need a program from Debian say so here: skipped, visibly, where
 * it is missing on a contributor's machine; failing where skipping is forbidden.
 */

import { spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { describe, it } from 'vitest';

/**
 * True when `program` is on the PATH; `python3-NAME` means that Debian's Python has the module NAME,
 * and a package without programs stands for its folder.
 */
const FOLDERS: Readonly<Record<string, string>> = {
  'arduino-core-avr': '/usr/share/arduino/hardware/arduino/avr',
  'libsimavr-dev': '/usr/include/simavr',
  'libelf-dev': '/usr/include/libelf.h',
};

function has(program: string): boolean {
  const folder = FOLDERS[program];
  if (folder !== undefined) return existsSync(folder);
  if (program.startsWith('python3-')) {
    return spawnSync('/usr/bin/python3', ['-c', `import ${program.slice(8)}`]).status === 0;
  }
  const folders = [...(process.env.PATH ?? '').split(delimiter), '/usr/lib/postgresql/15/bin'];
  return folders.some((folder) => {
    try {
      accessSync(join(folder, program), constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });
}

/** Those of the programs that are not installed. */
export function missingOf(programs: readonly string[]): string[] {
  return programs.filter((program) => !has(program));
}

/**
 * `describe` when all `programs` are installed; otherwise one test that is
 * skipped, or fails when LEANWARD_NO_SKIP is set (as CI does).
 */
export function needs(programs: readonly string[], title: string, body: () => void): void {
  const missing = missingOf(programs);
  if (missing.length === 0) {
    describe(title, body);
    return;
  }
  const words = `needs ${missing.join(', ')} (Debian)`;
  const forbidden = Boolean(process.env.LEANWARD_NO_SKIP);
  describe(title, () => {
    it.skipIf(!forbidden)(words, () => {
      throw new Error(`${title}: ${words}, and skipping is forbidden here`);
    });
  });
}

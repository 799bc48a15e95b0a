/** What is generated or built from other files is what is committed. */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { generateFiles } from '../../../boards/firmware/generate.ts';
import { BOARDS } from '../../support/boards.ts';
import { needs } from '../../support/needs.ts';

const FIRMWARE = new URL('../../../boards/firmware/', import.meta.url);
const folder = mkdtempSync(join(tmpdir(), 'leanward-firmware-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function make(...targets: string[]): void {
  execFileSync('make', ['-s', `OUT=${folder}`, ...targets.map((target) => join(folder, target))], {
    cwd: FIRMWARE,
    stdio: 'pipe',
  });
}

describe('the generated files', () => {
  it.each(generateFiles().map(({ path, text }) => [path.split('/').slice(-2).join('/'), path, text]))(
    '%s is what the contracts and the board say',
    (_, path, text) => {
      // When this differs: npm run generate
      expect(readFileSync(path, 'utf8')).toBe(text);
    },
  );
});

needs(['make', 'clang', 'wasm-ld'], 'the core as WebAssembly', () => {
  it('is rebuilt byte for byte', () => {
    make('core.wasm');
    const built = readFileSync(join(folder, 'core.wasm'));
    const kept = readFileSync(new URL('../../../firmware-sim/core.wasm', import.meta.url));
    expect(Buffer.compare(built, kept)).toBe(0);
  });
});

needs(['make', 'avr-gcc', 'clang'], 'the images', () => {
  it.each(Object.keys(BOARDS))('%s is rebuilt byte for byte', (id) => {
    make(`${id}.hex`);
    const built = readFileSync(join(folder, `${id}.hex`), 'utf8');
    const kept = readFileSync(new URL(`../../../boards/${id}/firmware.hex`, import.meta.url), 'utf8');
    expect(built).toBe(kept);
  });
});

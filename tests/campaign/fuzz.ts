/**
 * libFuzzer on the C core under the address and undefined-behaviour sanitizers:
 * whatever bytes as a table, as what comes over the link, as what the log memory
 * holds (boards/firmware/host/fuzz_*.c say what must hold).
 *
 * A case is a run of some thousand inputs from seeds that are real tables,
 * frames and records; the fuzzer draws from the case's chance alone.
 */

import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { compilePlan } from '../../compiler/compile.ts';
import { draw } from '../../firmware-sim/world/random.ts';
import { RECORD_BYTES } from '../../shared/log.ts';
import { raw } from '../src/archive/records.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { type Campaign, hold } from './campaign.ts';

const FIRMWARE = fileURLToPath(new URL('../../boards/firmware/', import.meta.url));
/** Inputs of a case; those of the link live through many seconds each. */
const INPUTS = { table: 1500, link: 200, log: 800 } as const;
const INPUT_BYTES = 2048;

let folder = '';

const TABLES = ['pantry', 'pantry-open', 'wire-rack', 'smallest'].flatMap((name) =>
  compilePlan(samplePlan(name), { boards: BOARDS, advise: false }).tables.map(({ encoded }) => encoded.bytes),
);

/** As fuzz_table.c takes them: how, a second, the table. */
const seedsOfTables = (): Uint8Array[] => TABLES.map((bytes) => Uint8Array.of(0, 1, 2, 3, 4, ...bytes));

/** What fuzz_link.c does: a request of the size that the first byte's upper half says, time, a press, a start. */
const ACTS = [
  [0x00, 1, 4, 0, 0, 0, 42],
  [0x00, 1, 3, 0x01, 0x40, 0, 3],
  [0x00, 1, 1, 0, 0, 0, 8],
  [0x00, 1, 5, 0, 1, 255, 0],
  [0x80, 1, 15, 0, 0, 0, 6, 1, 0x15],
  [0x50, 1, 16, 1, 0x40, 0, 3, 6, 0x31, 0, 0, 0, 0, 0],
  [0x40, 1, 16, 1, 0x72, 0, 2, 4, 1, 2, 3, 4],
  [0xa0, 1, 43, 14, 1, 0],
  [0x00, 1, 4, 0x20, 0, 0, 60],
  [0x00, 1, 4, 0x40, 0, 0, 8],
  ...[[9, 200], [9, 255], [0x0b], [0x1b], [0x1c], [0x2c], [0x0c], [0x1d], [0x3d], [0x0f], [0xaf]],
];

const seedsOfLink = (): Uint8Array[] =>
  TABLES.flatMap((bytes, n) => [
    Uint8Array.of(bytes.length & 0xff, bytes.length >> 8, ...bytes, ...ACTS.flat()),
    Uint8Array.of(0xff, 0xff, ...ACTS.slice(n).flatMap((act) => [...act, 9, 3])),
  ]);

function seedsOfLog(): Uint8Array[] {
  const some = [...raw(1, 40), ...raw(201, 260)];
  const placed = some.flatMap((bytes) => [(bytes[0] ?? 0) % 240, 0, ...bytes]);
  return [Uint8Array.of(0, 0, 0, 0, ...placed.slice(0, 60 * (RECORD_BYTES + 2)))];
}

const SEEDS = { table: seedsOfTables, link: seedsOfLink, log: seedsOfLog } as const;

/** A target, built, with its seeds; what it complains of is thrown with the input that did it. */
function fuzz(target: keyof typeof SEEDS): Campaign {
  return {
    name: `fuzz-${target}`,
    about: `libFuzzer with sanitizers on the C core: bytes of every sort as ${target}`,
    unit: 'inputs',
    share: 1,
    slice: 2,
    needs: ['clang', 'make'],
    async prepare() {
      folder = mkdtempSync(join(tmpdir(), 'leanward-fuzz-'));
      const words = ['-s', `OUT=${folder}`, join(folder, `fuzz_${target}`)];
      execFileSync('make', words, { cwd: FIRMWARE, stdio: 'pipe' });
      mkdirSync(join(folder, 'seeds'));
      for (const [n, bytes] of SEEDS[target]().entries())
        writeFileSync(join(folder, 'seeds', String(n)), bytes);
      return async () => rmSync(folder, { recursive: true, force: true });
    },
    run(chance) {
      const kept = join(folder, 'crash-');
      const words = [`-runs=${INPUTS[target]}`, `-seed=${1 + draw(chance, 1e9)}`, `-max_len=${INPUT_BYTES}`];
      const { status, stderr } = spawnSync(
        join(folder, `fuzz_${target}`),
        [...words, `-artifact_prefix=${kept}`, join(folder, 'seeds')],
        { encoding: 'utf8', maxBuffer: 64e6 },
      );
      hold(status === 0, () => {
        const inputs = readdirSync(folder).filter((name) => name.startsWith('crash-'));
        const hex = inputs.map((name) => readFileSync(join(folder, name)).toString('hex'));
        return `${stderr.slice(-3000)}\ninput ${hex.join(' ')}`;
      });
      return INPUTS[target];
    },
  };
}

export const fuzzTable = fuzz('table');
export const fuzzLink = fuzz('link');
export const fuzzLog = fuzz('log');

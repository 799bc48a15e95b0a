/**
 * `npm run coverage [-- --long]`: how many of the branches the tests reach, of
 * the compiler, of `firmware-sim/` and of the C core, folder by folder and file
 * by file. `--long` runs the long tests of the firmware and the campaigns too.
 *
 * Always holds: it measures and judges nothing. Asked for are 95 % of the C core
 * and of `firmware-sim/`, 90 % of `compiler/`.
 */

import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const FIRMWARE = join(ROOT, 'boards/firmware');
const MEASURED = ['compiler', 'firmware-sim'];
/** The tests that mean these parts. */
const TESTS = [
  'tests/compiler',
  'tests/firmware-sim',
  'tests/boards',
  'tests/equivalence',
  'tests/src/answers',
];
const LONG_TESTS = ['tests/boards', 'tests/firmware-sim', 'tests/campaign'];

interface Reached {
  readonly name: string;
  readonly covered: number;
  readonly total: number;
}

const { values } = parseArgs({ options: { long: { type: 'boolean', default: false } } });
const folder = mkdtempSync(join(tmpdir(), 'leanward-coverage-'));
const profiles = join(folder, 'profiles');
mkdirSync(profiles);

/** Runs tests with counters in TypeScript and C; those that fail are told by vitest itself. */
function runTests(projects: readonly string[], tests: readonly string[], reports: string): void {
  const coverage = ['enabled', 'provider=v8', 'reporter=json-summary', `reportsDirectory=${reports}`];
  const words = [
    ...projects.flatMap((name) => ['--project', name]),
    ...coverage.map((word) => `--coverage.${word}`),
    ...MEASURED.map((part) => `--coverage.include=${part}/**`),
    ...['--coverage.exclude=tests/**', ...tests],
  ];
  spawnSync('npx', ['vitest', 'run', ...words], {
    cwd: ROOT,
    stdio: 'inherit',
    env: {
      ...process.env,
      LEANWARD_CORE: join(folder, 'core-counted.wasm'),
      LEANWARD_CORE_PROFILES: profiles,
    },
  });
}

interface Summary {
  readonly [file: string]: { readonly branches: { readonly covered: number; readonly total: number } };
}

function ofTypeScript(reports: string): Reached[] {
  const summary: Summary = JSON.parse(readFileSync(join(reports, 'coverage-summary.json'), 'utf8'));
  return Object.entries(summary)
    .filter(([name]) => name !== 'total')
    .map(([name, { branches }]) => ({ name: relative(ROOT, name), ...branches }));
}

interface Exported {
  readonly data: readonly {
    readonly files: readonly {
      readonly filename: string;
      readonly summary: { readonly branches: { readonly count: number; readonly covered: number } };
    }[];
  }[];
}

/** The C core's, by the counters of WebAssembly and the map of a native build of the same sources. */
function ofCore(): Reached[] {
  const all = join(folder, 'all.profdata');
  const raw = readdirSync(profiles).map((name) => join(profiles, name));
  execFileSync('llvm-profdata', ['merge', '-o', all, ...raw]);
  const words = ['export', '-summary-only', join(folder, 'mapped'), `-instr-profile=${all}`];
  const told: Exported = JSON.parse(
    execFileSync('llvm-cov', words, {
      encoding: 'utf8',
      maxBuffer: 64e6,
      stdio: ['ignore', 'pipe', 'ignore'],
    }),
  );
  return told.data
    .flatMap(({ files }) => files)
    .filter(({ filename }) => filename.includes('core/') && filename.endsWith('.c'))
    .map(({ filename, summary: { branches } }) => ({
      name: relative(ROOT, join(FIRMWARE, filename.slice(filename.indexOf('core/')))),
      ...{ covered: branches.covered, total: branches.count },
    }));
}

function share({ covered, total }: Omit<Reached, 'name'>): string {
  return `${(total === 0 ? 100 : (100 * covered) / total).toFixed(1).padStart(5)} %  ${covered} of ${total}`;
}

function print(title: string, files: readonly Reached[]): void {
  const sum = (of: 'covered' | 'total'): number => files.reduce((all, one) => all + one[of], 0);
  console.log(`\n${title}: branches ${share({ covered: sum('covered'), total: sum('total') })}`);
  const short = files.filter(({ covered, total }) => covered < total);
  for (const one of short.sort((a, b) => b.total - b.covered - (a.total - a.covered)))
    console.log(`  ${share(one)}  ${one.name}`);
}

try {
  const targets = ['core-counted.wasm', 'mapped'].map((name) => join(folder, name));
  execFileSync('make', ['-s', `OUT=${folder}`, ...targets], { cwd: FIRMWARE, stdio: 'inherit' });
  const reports = join(folder, 'reports');
  runTests(
    values.long ? ['unit', 'slow', 'long'] : ['unit', 'slow'],
    values.long ? [...TESTS, ...LONG_TESTS] : TESTS,
    reports,
  );
  const typescript = ofTypeScript(reports);
  for (const part of MEASURED)
    print(
      part,
      typescript.filter(({ name }) => name.startsWith(`${part}/`)),
    );
  print('the C core', ofCore());
} finally {
  rmSync(folder, { recursive: true, force: true });
}

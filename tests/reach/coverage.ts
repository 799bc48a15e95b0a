/**
 * `npm run coverage [-- --long] [--where] [TEST …]`: how many of the branches the
 * unit and slow tests reach, all of them as `npm test` runs them, of the compiler,
 * of `firmware-sim/` and of the C core, file by file. `--long` runs those that mean
 * these parts, their long ones and the campaigns too; `--where` names the lines of
 * what is not reached; TESTs (files or folders) run instead.
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
/** The tests that mean these parts; the long ones of all others would add hours and few branches. */
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
  /** Lines with a branch that is not reached. */
  readonly missed: readonly number[];
}

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    long: { type: 'boolean', default: false },
    where: { type: 'boolean', default: false },
  },
});
const folder = mkdtempSync(join(tmpdir(), 'leanward-coverage-'));
const profiles = join(folder, 'profiles');
mkdirSync(profiles);

/** Runs tests with counters in TypeScript and C; those that fail are told by vitest itself. */
function runTests(projects: readonly string[], tests: readonly string[], reports: string): void {
  const coverage = [
    ...['enabled', 'provider=v8', 'reporter=json', 'reportOnFailure', `reportsDirectory=${reports}`],
  ];
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

/** What Istanbul's JSON says of a file: how often each way of each branch was taken, and where it begins. */
interface Counted {
  readonly b: Readonly<Record<string, readonly number[]>>;
  readonly branchMap: Readonly<
    Record<string, { readonly loc: { readonly start: { readonly line: number } } }>
  >;
}

function ofTypeScript(reports: string): Reached[] {
  const files: Record<string, Counted> = JSON.parse(
    readFileSync(join(reports, 'coverage-final.json'), 'utf8'),
  );
  return Object.entries(files).map(([name, { b, branchMap }]) => {
    const ways = Object.entries(b).flatMap(([key, counts]) =>
      counts.map((count) => ({ count, line: branchMap[key]?.loc.start.line ?? 0 })),
    );
    return reached(relative(ROOT, name), ways);
  });
}

/** A file of which each way of each branch was taken so often. */
function reached(name: string, ways: readonly { count: number; line: number }[]): Reached {
  const missed = ways.filter(({ count }) => count === 0).map(({ line }) => line);
  return {
    ...{ name, total: ways.length, covered: ways.length - missed.length },
    missed: [...new Set(missed)].sort((one, other) => one - other),
  };
}

interface Exported {
  readonly data: readonly {
    readonly files: readonly {
      readonly filename: string;
      /** Line, column, end line, end column, times true, times false, … */
      readonly branches: readonly (readonly number[])[];
    }[];
  }[];
}

/** The C core's, by the counters of WebAssembly and the map of a native build of the same sources. */
function ofCore(): Reached[] {
  const all = join(folder, 'all.profdata');
  const raw = readdirSync(profiles).map((name) => join(profiles, name));
  execFileSync('llvm-profdata', ['merge', '-o', all, ...raw]);
  const words = ['export', join(folder, 'mapped'), `-instr-profile=${all}`];
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
    .map(({ filename, branches }) =>
      reached(
        relative(ROOT, join(FIRMWARE, filename.slice(filename.indexOf('core/')))),
        branches.flatMap(([line = 0, , , , yes = 0, no = 0]) => [
          { count: yes, line },
          { count: no, line },
        ]),
      ),
    );
}

function share({ covered, total }: Pick<Reached, 'covered' | 'total'>): string {
  return `${(total === 0 ? 100 : (100 * covered) / total).toFixed(1).padStart(5)} %  ${covered} of ${total}`;
}

function print(title: string, files: readonly Reached[]): void {
  const sum = (of: 'covered' | 'total'): number => files.reduce((all, one) => all + one[of], 0);
  console.log(`\n${title}: branches ${share({ covered: sum('covered'), total: sum('total') })}`);
  const short = files.filter(({ covered, total }) => covered < total);
  for (const one of short.sort((a, b) => b.total - b.covered - (a.total - a.covered)))
    console.log(`  ${share(one)}  ${one.name}${values.where ? `: ${one.missed.join(' ')}` : ''}`);
}

try {
  const targets = ['core-counted.wasm', 'mapped'].map((name) => join(folder, name));
  execFileSync('make', ['-s', `OUT=${folder}`, ...targets], { cwd: FIRMWARE, stdio: 'inherit' });
  const reports = join(folder, 'reports');
  const usual = values.long ? [...TESTS, ...LONG_TESTS] : [];
  runTests(
    values.long ? ['unit', 'slow', 'long'] : ['unit', 'slow'],
    positionals.length > 0 ? positionals : usual,
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

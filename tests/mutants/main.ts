/**
 * `npm run mutants -- [--most N] [--seed S] [table|storage|link …]`: puts small
 * faults into the sources of a part, one at a time, runs the part's tests
 * on each and prints the share that they caught and every one that they did not.
 *
 * Of each part N faults are drawn (0: all). Stryker would do this, but asks for a
 * newer Node than Leanward does.
 */

import { spawn } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { draw } from '../../firmware-sim/world/random.ts';
import { mutantsOf } from './mutants.ts';
import type { Faulty } from './plugin.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

interface Part {
  /** Sources, or folders of them. */
  readonly sources: readonly string[];
  readonly tests: readonly string[];
}

const PARTS: Readonly<Record<string, Part>> = {
  table: {
    sources: ['compiler/table', 'firmware-sim/schedule.ts', 'shared/table-decode.ts'],
    // Most of what is held of tables is held by many random ones, which are slow tests.
    tests: [
      ...['codec', 'factor', 'refusals', 'runs', 'visit-groups', 'fit.slow'].map(
        (name) => `tests/compiler/table/${name}.test.ts`,
      ),
      'tests/equivalence/blocks.test.ts',
      'tests/firmware-sim/controller/schedule.slow.test.ts',
      'tests/equivalence/plans.slow.test.ts',
    ],
  },
  storage: {
    sources: [
      ...[
        'append',
        'connections',
        'corrections',
        'days',
        'flashed',
        'gaps',
        'known',
        'notes',
        'read',
        'strangers',
      ].map((name) => `src/archive/${name}.ts`),
      ...['files', 'lock', 'outputs'].map((name) => `src/files/${name}.ts`),
    ],
    tests: [
      ...['running', 'sqlite', 'strangers', 'trouble'].map((name) => `tests/src/archive/${name}.test.ts`),
      ...['tests/src/files', 'tests/src/cli/files.test.ts'],
    ],
  },
  link: {
    sources: ['client', 'controller', 'frame', 'line', 'read-log'].map((name) => `src/link/${name}.ts`),
    tests: [
      ...['client', 'events', 'frame', 'read-log'].map((name) => `tests/src/link/${name}.test.ts`),
      ...[
        'tests/src/link/wire.test.ts',
        'tests/src/link/controller.slow.test.ts',
        'tests/src/cli/signals.test.ts',
        'tests/src/jobs/host-clock.test.ts',
      ],
    ],
  },
};

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { most: { type: 'string', default: '60' }, seed: { type: 'string', default: '1' } },
});

/** A fault that makes a loop endless is caught by waiting no longer than so many times what the sound source takes. */
const ENDLESS_TIMES = 10;
let endlessMs = 3_600_000;

/** Whether all tests pass: those that answer at once first, as most faults are caught there. */
async function runTests(tests: readonly string[], mutant: Faulty | undefined): Promise<boolean> {
  return (await runProject('unit', tests, mutant)) && (await runProject('slow', tests, mutant));
}

function runProject(project: string, tests: readonly string[], mutant: Faulty | undefined): Promise<boolean> {
  const once = ['vitest', 'run', '--bail', '1', '--reporter', 'dot', '--passWithNoTests'];
  const words = [...once, '--project', project, ...tests];
  const env = mutant ? { ...process.env, LEANWARD_MUTANT: JSON.stringify(mutant) } : process.env;
  const child = spawn('npx', words, { cwd: ROOT, stdio: 'ignore', env, detached: true });
  const timer = setTimeout(() => process.kill(-(child.pid ?? 0), 'SIGKILL'), endlessMs);
  return new Promise((resolve) =>
    child.on('close', (code) => {
      clearTimeout(timer);
      resolve(code === 0);
    }),
  );
}

function sourcesOf({ sources }: Part): string[] {
  return sources.flatMap((source) =>
    source.endsWith('.ts')
      ? [source]
      : readdirSync(join(ROOT, source))
          .filter((name) => name.endsWith('.ts'))
          .map((name) => join(source, name)),
  );
}

/** So many of them by chance; all when there are fewer. */
function drawn(all: readonly Faulty[], most: number): Faulty[] {
  const left = [...all];
  const chance = { state: Number(values.seed) };
  const taken: Faulty[] = [];
  while (left.length > 0 && (most === 0 || taken.length < most))
    taken.push(...left.splice(draw(chance, left.length), 1));
  return taken;
}

async function survivorsOf(part: Part, mutants: readonly Faulty[]): Promise<Faulty[]> {
  const waiting = [...mutants];
  const survivors: Faulty[] = [];
  const worker = async (): Promise<void> => {
    for (let next = waiting.shift(); next; next = waiting.shift())
      if (await runTests(part.tests, next)) survivors.push(next);
  };
  await Promise.all(Array.from({ length: availableParallelism() }, worker));
  return survivors;
}

function told({ file, start, end, by, line }: Faulty): string {
  const text = readFileSync(file, 'utf8');
  const whole = (text.split('\n')[line - 1] ?? '').trim();
  return `  ${file.slice(ROOT.length)}:${line}: ${JSON.stringify(text.slice(start, end))} became ${JSON.stringify(by)} in ${whole}`;
}

for (const name of positionals.length > 0 ? positionals : Object.keys(PARTS)) {
  const part = PARTS[name];
  if (!part) throw new Error(`there is no part ${name}`);
  const begun = performance.now();
  if (!(await runTests(part.tests, undefined)))
    throw new Error(`the tests of ${name} fail without any fault`);
  endlessMs = ENDLESS_TIMES * (performance.now() - begun);
  const all = sourcesOf(part).flatMap((source) => {
    const file = join(ROOT, source);
    return mutantsOf(readFileSync(file, 'utf8')).map((mutant) => ({ ...mutant, file }));
  });
  const mutants = drawn(all, Number(values.most));
  const survivors = await survivorsOf(part, mutants);
  const caught = mutants.length - survivors.length;
  console.log(
    `${name}: ${caught} of ${mutants.length} caught (${((100 * caught) / mutants.length).toFixed(1)} %), drawn from ${all.length}`,
  );
  for (const one of survivors) console.log(told(one));
}

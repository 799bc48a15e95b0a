/**
 * `npm run mutants -- [options] [table|storage|link …]`: puts small faults into
 * the sources of a part, one at a time, runs the part's tests on each and prints
 * the share that they caught and every one that they did not. README.md has the
 * figures, and why those that are left are no faults.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { draw } from '../../firmware-sim/world/random.ts';
import { mutantsOf } from './mutants.ts';
import { type Held, PARTS } from './parts.ts';
import type { Faulty } from './plugin.ts';
import { Runner } from './runners.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    /** So many faults of each part are drawn; 0: all. */
    most: { type: 'string', default: '100' },
    seed: { type: 'string', default: '1' },
    /** Faults tried at the same time, each by a process of its own. */
    workers: { type: 'string', default: '1' },
    /** Only the faults of a source, or of one of its lines: FILE or FILE:LINE. */
    at: { type: 'string', multiple: true, default: [] },
  },
});

function sourcesOf({ sources }: Held): string[] {
  return sources.flatMap((source) =>
    source.endsWith('.ts')
      ? [source]
      : readdirSync(join(ROOT, source))
          .filter((name) => name.endsWith('.ts'))
          .map((name) => join(source, name)),
  );
}

/** A fault, and what holds the source that it is in. */
interface Trial {
  readonly fault: Faulty;
  readonly held: Held;
}

function trialsOf(part: readonly Held[]): Trial[] {
  const all = part.flatMap((held) =>
    sourcesOf(held).flatMap((source) => {
      const file = join(ROOT, source);
      return mutantsOf(readFileSync(file, 'utf8')).map((mutant) => ({ fault: { ...mutant, file }, held }));
    }),
  );
  const wanted = ({ fault: { file, line } }: Trial): boolean => {
    const source = file.slice(ROOT.length);
    return values.at.some((at) => at === source || at === `${source}:${line}`);
  };
  return values.at.length === 0 ? all : all.filter(wanted);
}

/** So many of them by chance; all when there are fewer. */
function drawn<One>(all: readonly One[], most: number): One[] {
  const left = [...all];
  const chance = { state: Number(values.seed) };
  const taken: One[] = [];
  while (left.length > 0 && (most === 0 || taken.length < most))
    taken.push(...left.splice(draw(chance, left.length), 1));
  return taken;
}

interface Counts {
  caught: number;
  survived: number;
  endless: number;
}

/** Tries each, several at a time, and prints those that survive as they do. */
async function tried(trials: readonly Trial[]): Promise<Counts> {
  const waiting = [...trials];
  const counts = { caught: 0, survived: 0, endless: 0 };
  const worker = async (): Promise<void> => {
    const runner = new Runner(ROOT);
    try {
      for (let next = waiting.shift(); next; next = waiting.shift()) {
        const outcome = await runner.try(next.held.tests, next.fault);
        counts[outcome]++;
        if (outcome === 'survived') console.log(told(next.fault));
        const done = trials.length - waiting.length;
        if (done % 20 === 0) console.error(`  ${done} of ${trials.length}`);
      }
    } finally {
      runner.end();
    }
  };
  await Promise.all(Array.from({ length: Number(values.workers) }, worker));
  return counts;
}

function told({ file, start, end, by, line }: Faulty): string {
  const text = readFileSync(file, 'utf8');
  const whole = (text.split('\n')[line - 1] ?? '').trim();
  return `  ${file.slice(ROOT.length)}:${line}: ${JSON.stringify(text.slice(start, end))} became ${JSON.stringify(by)} in ${whole}`;
}

for (const name of positionals.length > 0 ? positionals : Object.keys(PARTS)) {
  const part = PARTS[name];
  if (!part) throw new Error(`there is no part ${name}`);
  const all = trialsOf(part);
  const trials = drawn(all, Number(values.most));
  const begun = performance.now();
  const { survived, endless } = await tried(trials);
  const [caught, each] = [trials.length - survived, (performance.now() - begun) / 1000 / trials.length];
  console.log(
    `${name}: ${caught} of ${trials.length} caught (${((100 * caught) / trials.length).toFixed(1)} %), ` +
      `${endless} of them as the tests never ended; drawn from ${all.length} with seed ${values.seed}; ${each.toFixed(1)} s each`,
  );
}

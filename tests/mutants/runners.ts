/**
 * Asks a runner (`runner.ts`), a process of its own, and starts another one
 * where a fault never ends or takes the process with it.
 */

import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import type { Faulty } from './plugin.ts';
import type { Answer, Question } from './runner.ts';

/** What became of a fault. `endless` counts as caught: the tests never came to an end. */
export type Outcome = 'caught' | 'survived' | 'endless';

/** No fault is called endless before this many times what the tests take without one … */
const ENDLESS_TIMES = 6;
/** … nor before this, which other programs on the machine may take from it. */
const ENDLESS_LEAST_MS = 30_000;

const PROJECTS = ['unit', 'slow'] as const;

/** One runner, started when it is first asked. */
export class Runner {
  private readonly root: string;
  private child: ChildProcess | undefined;
  private why = '';
  private readonly times = new Map<readonly string[], number[]>();

  constructor(root: string) {
    this.root = root;
  }

  /**
   * Tries a fault: first on the tests that answer at once, as most are caught there. Throws
   * when the tests fail without any.
   */
  async try(tests: readonly string[], mutant: Faulty): Promise<Outcome> {
    const times = this.times.get(tests) ?? (await this.sound(tests));
    this.times.set(tests, times);
    for (const [i, project] of PROJECTS.entries()) {
      const limit = Math.max(ENDLESS_LEAST_MS, ENDLESS_TIMES * (times[i] ?? 0));
      const outcome = await this.ask({ project, tests, mutant }, limit);
      if (outcome !== 'survived') return outcome;
    }
    return 'survived';
  }

  /** How long the tests of each project take without a fault, ms. */
  private async sound(tests: readonly string[]): Promise<number[]> {
    const times: number[] = [];
    for (const project of PROJECTS) {
      const begun = performance.now();
      const outcome = await this.ask({ project, tests, mutant: undefined }, undefined);
      if (outcome !== 'survived') throw new Error(`the tests fail without any fault: ${this.why}`);
      times.push(performance.now() - begun);
    }
    return times;
  }

  end(): void {
    const pid = this.child?.pid;
    this.child = undefined;
    // The group: tests start programs of their own.
    if (pid !== undefined) process.kill(-pid, 'SIGKILL');
  }

  private async ask(question: Question, limit: number | undefined): Promise<Outcome> {
    const child = this.child ?? (await this.start());
    child.send(question);
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<Outcome>((resolve) => {
      if (limit !== undefined) timer = setTimeout(() => resolve('endless'), limit);
    });
    const gone = new AbortController();
    const outcome = await Promise.race([
      late,
      once(child, 'message', { signal: gone.signal }).then(([told]: Answer[]): Outcome => {
        this.why = told?.why ?? '';
        return told?.passed ? 'survived' : 'caught';
      }),
      once(child, 'exit', { signal: gone.signal }).then((): Outcome => {
        this.child = undefined;
        return 'caught';
      }),
    ]);
    clearTimeout(timer);
    gone.abort();
    if (outcome === 'endless') this.end();
    return outcome;
  }

  private async start(): Promise<ChildProcess> {
    const child = fork(join(this.root, 'tests/support/run-ts.js'), ['tests/mutants/runner.ts'], {
      cwd: this.root,
      detached: true,
      stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
    });
    await once(child, 'message');
    this.child = child;
    return child;
  }
}

/**
 * One Vitest that stays open and tries fault after fault, which spares each of
 * them the start and the reading of all sources. Started by `runners.ts`, which
 * tells it a fault and what tests to run, and ends it when a fault makes a loop endless.
 *
 * Always holds: each run begins in a new thread or process, so that nothing of
 * the fault before is left; the tests that caught faults of the same source come first.
 */

import { BaseSequencer, createVitest, type TestModule, type TestSpecification } from 'vitest/node';
import type { Faulty } from './plugin.ts';

/** What is asked: the tests of one project, with this fault or none. */
export interface Question {
  readonly project: 'unit' | 'slow';
  /** Test files, or beginnings of their paths. */
  readonly tests: readonly string[];
  readonly mutant: Faulty | undefined;
}

export interface Answer {
  readonly passed: boolean;
  /** What failed first, in the words of its error. */
  readonly why: string;
}

/** How often each test file caught a fault of the source that is in work. */
let catches = new Map<string, number>();
const catchesOf = new Map<string, Map<string, number>>();

class CatchersFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const times = (one: TestSpecification): number => catches.get(one.moduleId) ?? 0;
    return [...files].sort((a, b) => times(b) - times(a));
  }
}

process.env.LEANWARD_MUTANT = '';
const vitest = await createVitest('test', {
  watch: false,
  bail: 1,
  maxWorkers: 1,
  reporters: [{}],
  sequence: { sequencer: CatchersFirst },
});
let before: string | undefined;

async function answer({ project, tests, mutant }: Question): Promise<Answer> {
  process.env.LEANWARD_MUTANT = mutant ? JSON.stringify(mutant) : '';
  for (const file of [before, mutant?.file]) if (file !== undefined) vitest.invalidateFile(file);
  before = mutant?.file;
  catches = catchesOf.get(mutant?.file ?? '') ?? new Map();
  catchesOf.set(mutant?.file ?? '', catches);
  const found = await vitest.globTestSpecifications([...tests]);
  const { testModules, unhandledErrors } = await vitest.runTestSpecifications(
    found.filter((one) => one.project.name === project),
  );
  const failed = testModules.filter((one) => !one.ok());
  for (const { moduleId } of failed) catches.set(moduleId, (catches.get(moduleId) ?? 0) + 1);
  const errors = [...failed.flatMap((one) => firstErrors(one)), ...unhandledErrors];
  return { passed: failed.length === 0 && unhandledErrors.length === 0, why: wordsOf(errors[0]) };
}

function firstErrors(module: TestModule): readonly unknown[] {
  const tests = [...module.children.allTests('failed')];
  return [...module.errors(), ...tests.flatMap((one) => one.result().errors ?? [])];
}

const wordsOf = (error: unknown): string =>
  typeof error === 'object' && error !== null && 'message' in error ? String(error.message) : String(error);

process.on('message', (question: Question) => {
  void answer(question).then((told) => process.send?.(told));
});
process.on('disconnect', () => process.exit());
process.send?.('ready');
await new Promise(() => undefined);

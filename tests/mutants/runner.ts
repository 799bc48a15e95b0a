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
  /** What failed first. */
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
  const mine = found.filter((one) => one.project.name === project);
  const { testModules, unhandledErrors } = await vitest.runTestSpecifications(mine);
  // Vitest tells of the files of former runs too, as they ended then.
  const ran = testModules.filter((one) => mine.some(({ testModule }) => testModule === one));
  const failed = ran.filter((one) => !one.ok());
  for (const { moduleId } of failed) catches.set(moduleId, (catches.get(moduleId) ?? 0) + 1);
  const [first = 'an error outside the tests'] = failed.flatMap(failures);
  const passed = failed.length === 0 && unhandledErrors.length === 0;
  return { passed, why: passed ? '' : first };
}

/** What failed in a file, and the words of its error. */
function failures(module: TestModule): string[] {
  const tests = [...module.children.allTests('failed')];
  const told = (name: string, errors: readonly { readonly message: string }[] = []): string =>
    `${module.relativeModuleId} ${name}: ${errors[0]?.message ?? ''}`;
  return [...tests.map((one) => told(one.fullName, one.result().errors)), told('', module.errors())];
}

process.on('message', (question: Question) => {
  void answer(question).then((told) => process.send?.(told));
});
process.on('disconnect', () => process.exit());
process.send?.('ready');
await new Promise(() => undefined);

/** The parts whose faults are tried: the sources of each, and the tests that hold them. */

/**
 * Sources (or folders of them) and test files (or folders), from the project's root. All
 * of the tests are run where a fault survives, so there are only such as can see one.
 */
export interface Held {
  readonly sources: readonly string[];
  readonly tests: readonly string[];
}

const within = (folder: string, names: readonly string[]): string[] =>
  names.map((name) => `${folder}/${name}.ts`);

export const PARTS: Readonly<Record<string, readonly Held[]>> = {
  table: [
    {
      sources: ['compiler/table'],
      // Most of what is held of tables is held by many random ones, which are slow tests.
      tests: [
        ...within('tests/compiler/table', [
          'day-patterns.test',
          'factor.test',
          'fit.test',
          'runs.test',
          'visit-groups.test',
          'fit.slow.test',
          'limits.slow.test',
        ]),
        'tests/compiler/plan/room-band.test.ts',
        'tests/equivalence/blocks.test.ts',
        'tests/equivalence/plans.slow.test.ts',
      ],
    },
    {
      sources: ['shared/table-decode.ts'],
      tests: within('tests/compiler/table', ['codec.test', 'refusals.test']),
    },
    {
      sources: ['firmware-sim/schedule.ts'],
      tests: [
        'tests/equivalence/blocks.test.ts',
        ...within('tests/firmware-sim/controller', [
          'schedule.slow.test',
          'vectors.slow.test',
          'wall-clock.test',
        ]),
      ],
    },
  ],
  storage: [
    {
      sources: within('src/archive', [
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
      ]),
      tests: within('tests/src/archive', [
        'boards.test',
        'rows.test',
        'running.test',
        'sqlite.test',
        'strangers.test',
        'trouble.test',
      ]),
    },
    {
      sources: within('src/files', ['files', 'lock', 'outputs']),
      tests: ['tests/src/files', 'tests/src/cli/files.test.ts'],
    },
  ],
  link: [
    {
      sources: within('src/link', ['client', 'controller', 'frame', 'line', 'read-log']),
      tests: [
        ...within('tests/src/link', ['client.test', 'frame.test', 'read-log.test', 'wire.test']),
        'tests/src/link/controller.slow.test.ts',
        'tests/src/cli/signals.test.ts',
        'tests/src/jobs/host-clock.test.ts',
      ],
    },
  ],
};

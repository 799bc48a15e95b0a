/**
 * The order in which test files begin: those that take longest first, so that
 * no core is idle at the end while one long file runs on the other.
 *
 * Always holds: a file that is not named here comes after those that are, in
 * Vitest's own order (larger files first).
 */

import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files below `tests/` that take a good part of a minute of one core, the longest first; the long ones, then the slow ones. */
export const LONGEST = [
  'firmware-sim/chips/atmega328p/courses.long',
  'campaign/slice.long',
  'firmware-sim/chips/atmega328p/trace.long',
  'src/cli/season-script.long',
  'firmware-sim/chips/atmega328p/simavr.long',
  'firmware-sim/chips/atmega328p/resets.long',
  'firmware-sim/chips/atmega328p/line.long',
  'firmware-sim/chips/atmega328p/shared-line.long',
  'firmware-sim/chips/atmega328p/grow.long',
  'equivalence/four.long',
  'equivalence/plans.long',
  'src/cli/avrdude.long',
  'src/cli/install.long',
  'firmware-sim/chips/atmega328p/loaders.long',
  'src/archive/kill.long',
  'src/desk/evening-page.long',
  'src/desk/page-work.long',
  'src/desk/browser-kill.long',
  'compiler/solve/choice.long',
  'boards/firmware/core.long',
  'compiler/solve/dimmers.long',
  'boards/firmware/as-simulated.slow',
  'compiler/read/fuzz.slow',
  'src/cli/plan-commands.slow',
  'src/desk/evening.slow',
  'firmware-sim/chips/atmega328p/trace.slow',
  'boards/firmware/core.slow',
  'src/cli/serial.slow',
  'src/desk/controller.slow',
  'src/answers/review/seasons.slow',
  'firmware-sim/controller/leap.slow',
];

const place = ({ moduleId }: TestSpecification): number => {
  const at = LONGEST.findIndex((name) => moduleId.endsWith(`/tests/${name}.test.ts`));
  return at < 0 ? LONGEST.length : at;
};

export default class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const usual = await super.sort(files);
    return usual.toSorted((a, b) => place(a) - place(b));
  }
}

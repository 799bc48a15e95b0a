/**
 * The words for every finding: one small function a code, by stage.
 *
 * To add a code: write its function beside its kin in `words/`, and a golden
 * file `tests/golden/findings/CODE.slug.txt` (the test says how).
 */

import type { Units } from '../../shared/measures.ts';
import type { Code } from './codes.ts';
import type { FindingOf } from './finding.ts';
import { dayWords } from './words/days.ts';
import { geometryWords } from './words/geometry.ts';
import { lightWords } from './words/light.ts';
import { loadWords } from './words/load.ts';
import type { AllWords, Message } from './words/message.ts';
import { nameWords } from './words/names.ts';
import { shapeWords } from './words/shape.ts';
import { tableWords } from './words/table.ts';
import { textWords } from './words/text.ts';

/** All words, by code. */
export const WORDS: AllWords = {
  ...textWords,
  ...shapeWords,
  ...nameWords,
  ...geometryWords,
  ...dayWords,
  ...loadWords,
  ...lightWords,
  ...tableWords,
};

/** The words of one finding, with measures in the units of the plan. */
export function wordsOf<C extends Code>(
  { code, facts }: Pick<FindingOf<C>, 'code' | 'facts'>,
  units: Units,
): Message {
  return WORDS[code](facts, units);
}

/** A thousand resets at random cycles; the first hundred are in `resets.slow.test.ts`. */

import { it } from 'vitest';
import { resetAtRandom } from './chip-resets.ts';

const ALL = 1_000;

it(`a reset energises nothing, ${ALL} times at random cycles`, () => resetAtRandom(ALL));

/** Many resets at random cycles; the first hundred are in `resets.slow.test.ts`. */

import { it } from 'vitest';
import { many } from '../../../support/share.ts';
import { resetAtRandom } from './chip-resets.ts';

const RESETS = many(1_000);

it(`a reset energises nothing, ${RESETS} times at random cycles`, () => resetAtRandom(RESETS));

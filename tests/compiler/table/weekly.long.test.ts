/** Every second of 104 weeks, each with LEANWARD_ALL=1; every twelfth is in `weekly.slow.test.ts`. */

import { expect, it } from 'vitest';
import { many } from '../../support/share.ts';
import { WEEKS, weeklySize } from './weekly-rack.ts';

it('a batch a week on the wire rack is never too large for the board when compiled from the week it is in', () => {
  const step = WEEKS / many(WEEKS);
  const sizes = Array.from({ length: many(WEEKS) }, (_, at) => weeklySize(at * step));
  expect(Math.max(...sizes)).toBeLessThanOrEqual(440);
  // The rack fills in the first weeks; from then on the size does not grow with the file.
  expect(Math.max(...sizes.slice(52 / step))).toBeLessThanOrEqual(
    Math.max(...sizes.slice(8 / step, 52 / step)),
  );
});

/** Each of 104 weeks; every twelfth is in `weekly.slow.test.ts`. */

import { expect, it } from 'vitest';
import { WEEKS, weeklySize } from './weekly-rack.ts';

it('a batch a week on the wire rack is never too large for the board when compiled from the week it is in', () => {
  const sizes = Array.from({ length: WEEKS }, (_, week) => weeklySize(week));
  expect(Math.max(...sizes)).toBeLessThanOrEqual(440);
  // The rack fills in the first weeks; from then on the size does not grow with the file.
  expect(Math.max(...sizes.slice(52))).toBeLessThanOrEqual(Math.max(...sizes.slice(8, 52)));
});

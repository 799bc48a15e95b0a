/** The dimmers of `dimmers.slow.test.ts`, many of them; and four against all 83,521 settings. */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { bestPattern } from '../../../compiler/solve/single.ts';
import { askForMany } from '../../support/share.ts';
import { brute, dimmed, found } from './dimmed.ts';

askForMany();
await import('./dimmers.slow.test.ts');

it('are those of all 83,521 settings of four', () => {
  fc.assert(
    fc.property(dimmed(4, 4), (problem) => {
      expect(bestPattern(problem).gap).toBeUndefined();
      expect([...found(problem)]).toEqual([...brute(problem)]);
    }),
    { seed: 7, numRuns: 6 },
  );
});

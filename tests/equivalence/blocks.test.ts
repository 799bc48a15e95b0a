/** Blocks of light, factored into a table and run from its bytes by TypeScript and by the C core, against Temporal. */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { itemAt } from '../../shared/assert.ts';
import { TABLE_MAX_BYTES } from '../../shared/table.ts';
import { agreeOn } from './agreement.ts';
import { daysOf, scene, tableOf } from './block-scenes.ts';
import { intendedLight } from './intent.ts';

const DAY = 86_400;

it('are what Temporal says they should be, at every change, on the wall clock and on a steady one', () => {
  let seen = 0;
  fc.assert(
    fc.property(scene, (input) => {
      const days = daysOf(input);
      const bytes = tableOf(input.timezone, days);
      fc.pre(bytes.length <= TABLE_MAX_BYTES);
      const first = itemAt(days, 0).day;
      const lit = Array.from({ length: 8 }, (_, at) => intendedLight(input.timezone, days, 0, at + 1));
      seen += agreeOn({ lit, bytes, from: (first - 1) * DAY, until: (first + 31) * DAY });
    }),
    { numRuns: 60 },
  );
  expect(seen).toBeGreaterThan(1000);
});

/** Blocks of light, second by second; `blocks.test.ts` looks at the changes alone. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { TABLE_MAX_BYTES } from '../../shared/table.ts';
import { utcSeconds } from '../../shared/units.ts';
import { daysOf, scene, tableOf } from './block-scenes.ts';
import { intendedSeconds } from './intent.ts';

const DAY = 86_400;

describe('blocks of light, factored into a table and run from its bytes', () => {
  it('are what Temporal says they should be, at every second, clock changes included', () => {
    fc.assert(
      fc.property(scene, (input) => {
        const days = daysOf(input);
        const bytes = tableOf(input.timezone, days);
        fc.pre(bytes.length <= TABLE_MAX_BYTES);
        const from = utcSeconds((itemAt(days, 0).day - 1) * DAY);
        const until = utcSeconds((itemAt(days, 0).day + 31) * DAY);
        const changes = traceTable(bytes, from, until)[Symbol.iterator]();
        let shown = sure(changes.next().value);
        let next = changes.next();
        for (const { utc, levels } of intendedSeconds(input.timezone, days, 0, from, until)) {
          if (!next.done && next.value.utc === utc) {
            shown = next.value;
            next = changes.next();
          }
          for (let output = 0; output < 8; output++) {
            if (shown.levels[output] !== levels[output]) {
              expect({ utc, output: output + 1, level: shown.levels[output] }).toEqual({
                utc,
                output: output + 1,
                level: levels[output],
              });
            }
          }
        }
      }),
      { numRuns: 40 },
    );
  });
});

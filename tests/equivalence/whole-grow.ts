/** The whole pantry grow, second by second: what table and simulated controller show against what the intent says. */

import { describe, expect, it } from 'vitest';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { civilDay, type UtcSeconds } from '../../shared/units.ts';
import { simulateController } from '../../src/answers/simulate/run.ts';
import { samplePlan } from '../support/boards.ts';
import { intendedSeconds } from './intent.ts';
import { compiled } from './random-grows.ts';

const DAY = 86_400;

/** What the table's bytes show, second by second, as the simulated controller evaluates them. */
function* shownSeconds(bytes: Uint8Array, from: UtcSeconds, until: UtcSeconds): Iterable<Uint8Array> {
  let levels: Uint8Array = new Uint8Array(8);
  let at = from as number;
  for (const change of traceTable(bytes, from, until)) {
    for (; at < change.utc; at++) yield levels;
    levels = change.levels;
  }
  for (; at < until; at++) yield levels;
}

/** Defines the tests of the grow on a clock, `civil` or `steady`. */
export function describeWholeGrow(clock: string): void {
  describe(`the whole pantry grow, ${clock} clock`, () => {
    const text = clock === 'civil' ? samplePlan('pantry') : `${samplePlan('pantry')}\nclock: steady\n`;
    const { plan, timeline, tables, from, until } = compiled(text);

    it('is what the intent says at every second', () => {
      const shown = shownSeconds(itemAt(tables, 0).encoded.bytes, from, until)[Symbol.iterator]();
      let seconds = 0;
      for (const { utc, levels } of intendedSeconds(plan.timezone, timeline.days, 0, from, until)) {
        const now: Uint8Array = sure(shown.next().value);
        for (let output = 0; output < 8; output++) {
          if (now[output] !== levels[output])
            expect({ utc, output, level: now[output] }).toEqual({ utc, output, level: levels[output] });
        }
        seconds++;
      }
      expect(seconds).toBe(until - from);
      expect(seconds).toBeGreaterThan(130 * DAY);
    });

    it('is what the whole simulated controller shows, minute work, log and all', () => {
      const run = simulateController(itemAt(tables, 0), { first: civilDay(from / DAY), from, until }, []);
      const hex = (utc: number, levels: Uint8Array): string => `${utc} ${[...levels].join('.')}`;
      const shown = run.trace.map(({ utc, levels }) => hex(utc, levels));
      const evaluated = [...traceTable(itemAt(tables, 0).encoded.bytes, from, until)].map(({ utc, levels }) =>
        hex(utc, levels),
      );
      expect(shown).toEqual(evaluated);
    });

    it('burns on each day just the lamps on the side that growth is to lean to', () => {
      for (const [index, { demands }] of timeline.demands.entries()) {
        const blocks = itemAt(timeline.days, index).blocks;
        const expected = demands.flatMap(({ zone, side }) => {
          const name = itemAt(plan.zones, zone).name;
          const sides = side === 'upright' ? ['left', 'right'] : [side === 270 ? 'left' : 'right'];
          return sides.map(
            (word) => sure(plan.lamps.find((lamp) => lamp.name === `${name}-${word}`)).output.number,
          );
        });
        expect(blocks.map((block) => block.output).sort()).toEqual(expected.sort());
      }
    });
  });
}

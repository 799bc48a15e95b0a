import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { planDays } from '../../compiler/plan/on-a-day.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { civilDay, type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import { simulateController } from '../../src/answers/simulate/run.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { intendedLight, intendedSeconds } from './intent.ts';
import { randomPlan } from './random-plan.ts';

const DAY = 86_400;

function compiled(text: string) {
  const result = compilePlan(text, { boards: BOARDS });
  expect(result.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const { plan, timeline, tables } = result;
  const { first, end } = sure(planDays(sure(plan)));
  return {
    plan: sure(plan),
    timeline: sure(timeline),
    tables,
    from: utcSeconds((first - 2) * DAY),
    until: utcSeconds((end + 2) * DAY),
  };
}

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

describe.each(['civil', 'steady'])('the whole pantry grow, %s clock', (clock) => {
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

describe('random plans', () => {
  it('show what the intent says at every minute and at every edge', () => {
    fc.assert(
      fc.property(randomPlan, (text) => {
        const { plan, timeline, tables, from, until } = compiled(text);
        const changes = [...traceTable(itemAt(tables, 0).encoded.bytes, from, until)];
        for (let output = 1; output <= 8; output++) {
          const lit = intendedLight(plan.timezone, timeline.days, 0, output);
          const edges = lit.flatMap((one) => [one.from - 1, one.from, one.until - 1, one.until]);
          const minutes: number[] = [];
          for (let utc = from as number; utc < until; utc += 60) minutes.push(utc);
          const instants = [...minutes, ...edges]
            .filter((utc) => utc >= from && utc < until)
            .sort((a, b) => a - b);
          let at = 0;
          let begun = 0;
          for (const utc of instants) {
            while (at + 1 < changes.length && itemAt(changes, at + 1).utc <= utc) at++;
            while (begun < lit.length && itemAt(lit, begun).from < utc - 3 * DAY) begun++;
            let wanted = 0;
            for (let k = begun; k < lit.length && itemAt(lit, k).from <= utc; k++)
              if (utc < itemAt(lit, k).until) wanted = Math.max(wanted, itemAt(lit, k).byte);
            const shown = itemAt(changes, at).levels[output - 1];
            if (shown !== wanted)
              expect({ output, utc, level: shown }).toEqual({ output, utc, level: wanted });
          }
        }
      }),
      { numRuns: 200 },
    );
  });
});

/**
 * Light first, on racks that nobody drew: no zone stays dark that a lamp of its own can
 * light, no lamp burns for another zone without leave, every lamp that is off has its
 * reason. Leaks and reach are told from the field itself, not by the choice.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { lampDeeds } from '../../../compiler/advice/why.ts';
import { lightField } from '../../../compiler/light/field.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { zonesOfOutput } from '../../../compiler/steer/belongs.ts';
import { steerDays } from '../../../compiler/steer/choose.ts';
import { zoneFigures } from '../../../compiler/steer/figures.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { degrees, lux } from '../../../shared/units.ts';
import { batch, controller, day, demand, plan, relays, shelf, strip, zone } from '../light/rack.ts';

const WIDTH = 420;
const NAMES = ['left', 'right', 'front', 'back'] as const;

const lamps = fc.array(
  fc.record({
    zone: fc.nat({ max: 2 }),
    side: fc.constantFrom(...NAMES),
    flux: fc.integer({ min: 60, max: 900 }),
    help: fc.boolean(),
  }),
  { minLength: 1, maxLength: 8 },
);
const asks = fc.array(fc.constantFrom(0, 90, 180, 270, 'upright' as const, 'dark' as const), {
  minLength: 3,
  maxLength: 3,
});

function rackOf(zones: number, drawn: typeof lamps extends fc.Arbitrary<infer T> ? T : never): ResolvedPlan {
  return plan({
    controllers: [controller('c', relays(8))],
    shelves: [shelf('s', 0, WIDTH * zones, 450, 520)],
    zones: Array.from({ length: zones }, (_, n) =>
      zone(`z${n}`, 0, [WIDTH * n + 80, WIDTH * (n + 1) - 80], [60, 390], 2, 2),
    ),
    lamps: drawn.map(({ zone: at, side, flux, help }, n) => {
      const own = at % zones;
      const left = WIDTH * own;
      const across = side === 'front' || side === 'back';
      const y = side === 'front' ? 10 : 440;
      const x = side === 'left' ? left + 15 : left + WIDTH - 15;
      const turn = side === 'left' || side === 'front' ? 1 : -1;
      return strip(
        `l${n}`,
        0,
        n + 1,
        across ? [left + 60, y, 330] : [x, 40, 330],
        across ? [left + WIDTH - 60, y, 330] : [x, 410, 330],
        across ? [0, turn, 0] : [turn, 0, 0],
        flux,
        { beside: { zone: own, side }, helps: help ? [(own + 1) % zones] : [] },
      );
    }),
    batches: [batch('b', day('2026-02-16'), 0, [])],
  });
}

it('lights what can be lit, with the lamps that may, and says why the others are off', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 3 }), lamps, asks, (zones, drawn, asked) => {
      const made = rackOf(zones, drawn);
      const on = day('2026-05-04');
      const wanted = asked.slice(0, zones);
      const demands = wanted.flatMap((side, n) =>
        side === 'dark'
          ? []
          : [
              demand({
                zone: n,
                side: side === 'upright' ? side : degrees(side),
                level: [lux(300), lux(2000)],
              }),
            ],
      );
      const dark = wanted.flatMap((side, n) => (side === 'dark' ? [[n, 0] as const] : []));
      const field = lightField(made);
      const { treatments } = steerDays(made, field, [
        { day: on, demands, dark, span: [on * 1440, (on + 1) * 1440], background: [] },
      ]);
      const burning = new Set(
        treatments.flatMap((one) => one.burning.flatMap(({ levels }) => levels.map(([output]) => output))),
      );
      for (const output of burning) {
        const own = zonesOfOutput(made, itemAt(field.outputs, output));
        expect(own.some((n) => wanted[n] !== undefined && wanted[n] !== 'dark')).toBe(true);
      }
      for (const treatment of treatments) {
        const { ask, zoneField, figures, minutes } = treatment;
        if (ask.kind === 'dark') continue;
        const deeds = lampDeeds(made, field, treatment, [[treatment]]);
        for (const deed of deeds) expect(deed.hours > 0 || deed.off !== undefined).toBe(true);
        const own = field.outputs.flatMap((output, n) =>
          zonesOfOutput(made, output).includes(treatment.zone) ? [n] : [],
        );
        expect(deeds).toHaveLength(own.length);
        // A lamp alone that reaches a bag from the side asked for: then something of the zone is lit.
        const can = own.some((n) => {
          const alone = zoneFigures(zoneField, ask, [{ minutes, levels: [[n, 16]] }], []);
          return alone.bags.some(({ reached }) => reached);
        });
        if (can) expect(figures.bags.some(({ reached }) => reached)).toBe(true);
        expect(sure(figures.bags[0]).min).toBeGreaterThanOrEqual(0);
      }
    }),
    { seed: 10, numRuns: 200 },
  );
});

/**
 * What a treatment says of a zone is what its own light gives, also where zones that get
 * the same share what was worked out.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandsOf } from '../../../compiler/advice/bands.ts';
import { faceColumn, lightField } from '../../../compiler/light/field.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { Ask } from '../../../compiler/solve/score.ts';
import { steerDays } from '../../../compiler/steer/choose.ts';
import { KnownFigures, zoneFigures } from '../../../compiler/steer/figures.ts';
import { sure } from '../../../shared/assert.ts';
import { daysOf, pantry, wireRack, wireTower } from '../light/rack.ts';

/** Every third lamp is blue, so that zones differ by the eye alone. */
const coloured = (made: ResolvedPlan): ResolvedPlan => ({
  ...made,
  lamps: made.lamps.map((lamp, n) =>
    n % 3 === 0 ? { ...lamp, colour: { kind: 'narrow', nanometres: 470 } as const } : lamp,
  ),
});

const RACKS: readonly (readonly [string, ResolvedPlan])[] = [
  ['the pantry rack', pantry('open')],
  ['a tower with coloured lamps', coloured(wireTower(6))],
];

describe('figures and ranges of every treatment', () => {
  it.each(RACKS)('of %s', (_, made) => {
    const { treatments } = steerDays(made, lightField(made), daysOf(made));
    expect(treatments.length).toBeGreaterThan(10);
    for (const one of treatments) {
      const own = zoneFigures(one.zoneField, one.ask, one.burning, one.background);
      expect(one.figures).toEqual(own);
      expect(bandsOf(made, one)).toEqual(bandsOf(made, { ...one, figures: own }));
    }
  });
});

it('figures known of one question are not told of another', () => {
  const made = wireRack();
  const field = lightField(made);
  const known = new KnownFigures();
  const normals = { 0: [0, 1], 180: [0, -1] } as const;
  const side = (azimuth: 0 | 180, low: number): Ask => {
    const [face, opposite] = [faceColumn(field, azimuth), faceColumn(field, 180 - azimuth)];
    return {
      kind: 'lit',
      side: { azimuth, normal: normals[azimuth], face, opposite },
      low,
      high: 1e5,
      contrast: 500,
    };
  };
  const asks: readonly Ask[] = [
    { kind: 'dark' },
    { kind: 'lit', side: undefined, low: 30_000, high: 100_000, contrast: 500 },
    side(180, 30_000),
    side(0, 30_000),
    side(0, 90_000),
  ];
  const part = fc.record({
    minutes: fc.constantFrom(60, 120),
    lamps: fc.subarray([...field.outputs.keys()], { maxLength: 2 }),
    level: fc.constantFrom(8, 16),
  });
  const question = fc.record({
    zone: fc.integer({ min: 0, max: made.zones.length - 1 }),
    ask: fc.constantFrom(...asks),
    parts: fc.array(part, { minLength: 1, maxLength: 2 }),
    background: fc.subarray([0]),
  });
  fc.assert(
    fc.property(question, ({ zone, ask, parts, background }) => {
      const zoneField = sure(
        field.zone(
          made.zones.map(() => 0),
          zone,
        ),
      );
      const burning = parts.map(({ minutes, lamps, level }) => ({
        minutes,
        levels: lamps.map((lamp) => [lamp, level] as const),
      }));
      expect(known.of(zoneField, ask, burning, background)).toEqual(
        zoneFigures(zoneField, ask, burning, background),
      );
    }),
    { numRuns: 400 },
  );
});

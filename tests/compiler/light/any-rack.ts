/**
 * Random small racks for tests of the light: one shelf, or two over each other, a zone or
 * two, lamps of every kind anywhere round the bags, screens, solid and wire decks.
 */

import fc from 'fast-check';
import type {
  LampShape,
  ResolvedLamp,
  ResolvedPlan,
  ResolvedScreen,
  Vec3,
} from '../../../compiler/plan/plan.ts';
import { degrees, lumens, millimetres } from '../../../shared/units.ts';
import { bag, plan, shelf, strip, zone } from './rack.ts';

const WIDTH = 900;
const DEPTH = 400;
const CLEAR = 520;

const int = (min: number, max: number) => fc.integer({ min, max });
const point = fc.tuple(int(-80, WIDTH + 80), int(-80, DEPTH + 80), int(20, CLEAR - 20));

/** Unit vectors, none of them square to the floor. */
const facing = fc
  .tuple(int(-5, 5), int(-5, 5), int(-3, 3))
  .filter(([x, y]) => x !== 0 || y !== 0)
  .map(([x, y, z]): Vec3 => {
    const size = Math.hypot(x, y, z);
    return [x / size, y / size, z / size];
  });

/** Strips run along x, y or z. */
const stripShape = fc.record({ at: point, axis: int(0, 2), length: int(100, 400) }).map(
  ({ at, axis, length }): LampShape => ({
    kind: 'strip',
    from: at,
    to: at.map((value, i) => (i === axis ? value + length : value)) as unknown as Vec3,
  }),
);
const spotShape = fc.record({ at: point, beam: int(20, 150) }).map(
  ({ at, beam }): LampShape => ({
    kind: 'spot',
    at,
    beam: degrees(beam),
  }),
);
const panelShape = fc.record({ at: point, across: int(60, 400), up: int(40, 300) }).map(
  ({ at, across, up }): LampShape => ({
    kind: 'panel',
    at,
    size: [millimetres(across), millimetres(up)],
  }),
);

export interface RackOptions {
  readonly kinds?: readonly LampShape['kind'][];
  readonly photometry?: string | undefined;
}

const SHAPES = { strip: stripShape, spot: spotShape, panel: panelShape } as const;

function lamps({ kinds = ['strip', 'spot', 'panel'], photometry }: RackOptions) {
  const shape = fc.oneof(...kinds.map((kind) => SHAPES[kind]));
  return fc
    .array(fc.record({ shape, facing, flux: int(100, 800) }), { minLength: 1, maxLength: 3 })
    .map((all) =>
      all.map(
        (one, n): ResolvedLamp => ({
          ...strip(`l${n}`, 0, n + 1, [0, 0, 0], [0, 0, 0], one.facing, one.flux, { photometry }),
          shape: one.shape,
        }),
      ),
    );
}

const screens = fc.array(int(10, WIDTH - 10), { maxLength: 1 }).map((all) =>
  all.map(
    (x): ResolvedScreen => ({
      name: 'x',
      shelf: 0,
      from: [x, 0, 0],
      to: [x, DEPTH, CLEAR],
      span: { start: 0, end: 0 },
    }),
  ),
);

/** A random rack. */
export const anyRack = (options: RackOptions = {}): fc.Arbitrary<ResolvedPlan> =>
  fc
    .record({
      lamps: lamps(options),
      screens,
      wire: fc.boolean(),
      two: fc.boolean(),
      across: int(1, 3),
      passes: fc.constantFrom(0.67, 0.9),
      scatters: fc.constantFrom(0, 0.5, 0.78),
    })
    .map((made) => {
      const deck = made.wire ? 0.8 : 0;
      return plan({
        shelves: [
          shelf('low', 500, WIDTH, DEPTH, CLEAR, deck),
          ...(made.two ? [shelf('high', 1100, WIDTH, DEPTH, CLEAR, deck)] : []),
        ],
        zones: [
          zone('A', 0, [60, 840], [100, 300], made.across, 1),
          ...(made.two ? [zone('B', 1, [60, 840], [100, 300], 1, 1)] : []),
        ],
        bags: [bag({ film: { passes: made.passes, scatters: made.scatters } })],
        lamps: made.lamps,
        screens: made.screens,
      });
    });

/** The same rack seen in a mirror: left is right. */
export function mirrored(made: ResolvedPlan): ResolvedPlan {
  const flip = ([x, y, z]: Vec3): Vec3 => [WIDTH - x, y, z];
  const shapeOf = (shape: LampShape): LampShape => {
    if (shape.kind === 'strip') return { ...shape, from: flip(shape.from), to: flip(shape.to) };
    return { ...shape, at: flip(shape.at) };
  };
  return {
    ...made,
    zones: made.zones.map((one) => ({
      ...one,
      places: one.places.map((place) => ({ ...place, x: millimetres(WIDTH - place.x) })),
    })),
    lamps: made.lamps.map((lamp) => ({
      ...lamp,
      shape: shapeOf(lamp.shape),
      facing: [-lamp.facing[0], lamp.facing[1], lamp.facing[2]],
    })),
    screens: made.screens.map((screen) => ({ ...screen, from: flip(screen.from), to: flip(screen.to) })),
  };
}

/** Every strip as two of half its length and flux on the same output. */
export function halved(made: ResolvedPlan): ResolvedPlan {
  return {
    ...made,
    lamps: made.lamps.flatMap((lamp) => {
      if (lamp.shape.kind !== 'strip') return [lamp];
      const { from, to } = lamp.shape;
      const middle: Vec3 = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2];
      const half = { ...lamp, flux: lumens(lamp.flux / 2) };
      return [
        { ...half, shape: { ...lamp.shape, to: middle } },
        { ...half, shape: { ...lamp.shape, from: middle } },
      ];
    }),
  };
}

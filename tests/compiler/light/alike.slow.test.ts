/**
 * Zones built and stocked alike share their light: what a field that knows others says of a
 * zone is what a field says that was asked for nothing else, whatever differs between them.
 */

import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type Influence, lightField } from '../../../compiler/light/field.ts';
import type { ResolvedLamp, ResolvedPlan, ResolvedShelf, Vec3 } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { type Degrees, lumens, lux, millimetres, minutes } from '../../../shared/units.ts';
import { anyRack } from './any-rack.ts';
import { FRONT } from './rack.ts';

const flat = readFileSync(new URL('flat-1000lm.ies', import.meta.url), 'utf8');
/** A flat lamp's file, and one whose light keeps more to its axis. */
const photometry = {
  'bar.csv': '400 0\n450 1\n500 0.5\n600 0.8\n700 0',
  'flat.ies': flat,
  'narrow.ies': flat.replace('318.31 317.10 313.47', '900 800 700'),
};
/** The second rack stands a little higher than the first, so that no length is the same to the last bit. */
const HIGHER = 37.3;

/** A rack and beside it another built alike. */
function twice(made: ResolvedPlan, oneOutput: boolean): ResolvedPlan {
  const { shelves, zones, lamps, screens } = made;
  const n = shelves.length;
  const output = (k: number) => ({ controller: 0, number: oneOutput ? 1 : k + 1 });
  const numbered = lamps.map((lamp, k) => ({ ...lamp, output: output(k) }));
  return {
    ...made,
    shelves: [
      ...shelves,
      ...shelves.map((one) => ({ ...one, name: `${one.name}2`, height: millimetres(one.height + HIGHER) })),
    ],
    zones: [...zones, ...zones.map((one) => ({ ...one, name: `${one.name}2`, shelf: one.shelf + n }))],
    lamps: [
      ...numbered,
      ...numbered.map((one) => ({
        ...one,
        name: `${one.name}2`,
        shelf: one.shelf + n,
        output: { controller: 0, number: one.output.number + 4 },
      })),
    ],
    screens: [...screens, ...screens.map((one) => ({ ...one, shelf: one.shelf + n }))],
  };
}

/** What may differ between the two racks. */
const CHANGES: Readonly<Record<string, (two: ResolvedPlan) => ResolvedPlan>> = {
  nothing: (two) => two,
  flux: (two) => changeLamps(two, (one) => ({ ...one, flux: lumens(one.flux * 1.1) })),
  file: (two) => changeLamps(two, (one) => ({ ...one, photometry: 'narrow.ies' })),
  colour: (two) =>
    changeLamps(two, (one) => ({ ...one, colour: { kind: 'narrow', nanometres: 480 } as const })),
  spectrum: (two) => changeLamps(two, (one) => ({ ...one, spectrum: 'bar.csv' })),
  facing: (two) =>
    changeLamps(two, (one) => ({ ...one, facing: one.facing.map((value) => -value) as unknown as Vec3 })),
  deck: (two) => changeShelves(two, (one) => ({ ...one, deckPasses: 0.5 })),
  depth: (two) => changeShelves(two, (one) => ({ ...one, deckPasses: 0.6, depth: millimetres(200) })),
  surfaces: (two) => changeShelves(two, (one) => ({ ...one, reflects: { back: 0.7 } })),
  screen: (two) => ({
    ...two,
    screens: [
      ...two.screens,
      ...two.shelves.flatMap((_, shelf) =>
        shelf < two.shelves.length / 2
          ? []
          : [
              {
                name: 'y',
                shelf,
                from: [0, 90, 0],
                to: [900, 90, 500],
                span: { start: 0, end: 0 },
              } as const,
            ],
      ),
    ],
  }),
  place: (two) => ({
    ...two,
    zones: two.zones.map((one, n) =>
      n < two.zones.length / 2
        ? one
        : { ...one, places: one.places.map((place) => ({ ...place, y: millimetres(place.y + 9) })) },
    ),
  }),
};

function changeLamps(two: ResolvedPlan, change: (one: ResolvedLamp) => ResolvedLamp): ResolvedPlan {
  return { ...two, lamps: two.lamps.map((one, n) => (n < two.lamps.length / 2 ? one : change(one))) };
}

function changeShelves(two: ResolvedPlan, change: (one: ResolvedShelf) => ResolvedShelf): ResolvedPlan {
  return { ...two, shelves: two.shelves.map((one, n) => (n < two.shelves.length / 2 ? one : change(one))) };
}

/** Bags (index into the plan's) in the zones of the first rack and of the second. */
const STOCKS: Readonly<Record<string, readonly [number, number]>> = {
  'the same bags': [0, 0],
  'taller bags': [0, 1],
  'clearer bags': [0, 2],
};

function dressed(made: ResolvedPlan, file: boolean, pale: boolean, room: 'above' | Degrees): ResolvedPlan {
  const usual = itemAt(made.bags, 0);
  return {
    ...made,
    shelves: made.shelves.map((one) => (pale ? { ...one, reflects: { deck: 0.3, above: 0.5 } } : one)),
    lamps: made.lamps.map((one) => (file ? { ...one, photometry: 'flat.ies' } : one)),
    bags: [
      usual,
      { ...usual, height: millimetres(usual.height + 30) },
      { ...usual, film: { passes: 0.95, scatters: 0.3 } },
    ],
    background: [{ name: 'room', from: room, level: lux(300), hours: [minutes(0), minutes(60)], on: [0] }],
  };
}

function values(one: Influence | undefined): number[] {
  return [...(one?.means ?? []), ...(one?.points ?? [])].flatMap((part) => [...part]);
}

/** Each zone of a plan looked at with a field that knows the others, and with one that knows nothing. */
function tellsNoLie(two: ResolvedPlan, occupancy: readonly number[]): void {
  const known = lightField(two, { photometry });
  for (const zone of two.zones.keys()) {
    const found = sure(known.zone(occupancy, zone));
    const alone = sure(lightField(two, { photometry }).zone(occupancy, zone));
    for (const kind of ['outputs', 'byEye', 'background'] as const) {
      for (const [n, one] of alone[kind].entries()) {
        const [got, wanted] = [values(found[kind][n]), values(one)];
        expect(got).toHaveLength(wanted.length);
        // A rounding may fall the other way.
        const apart = Math.max(0, ...got.map((value, i) => Math.abs(value - itemAt(wanted, i))));
        expect(apart).toBeLessThanOrEqual(1);
      }
    }
  }
}

const differing = [
  ...Object.keys(CHANGES).map((change) => [change, 'the same bags'] as const),
  ...Object.keys(STOCKS).map((stock) => ['nothing', stock] as const),
];

it.each(differing)(
  'what is known of one rack tells no lie about another: %s differs, %s',
  (change, stock) => {
    const [first, second] = itemAt(
      Object.entries(STOCKS).filter(([name]) => name === stock),
      0,
    )[1];
    const room =
      change === 'screen' ? fc.constant(FRONT) : fc.constantFrom<'above' | Degrees>('above', FRONT);
    const file = change === 'file' || change === 'flux' ? fc.constant(change === 'file') : fc.boolean();
    const rack = anyRack(change === 'flux' ? { kinds: ['strip'] } : {});
    const drawn = fc.tuple(rack, fc.boolean(), file, fc.boolean(), room);
    fc.assert(
      fc.property(drawn, ([made, oneOutput, measured, pale, from]) => {
        const two = sure(CHANGES[sure(change)])(twice(dressed(made, measured, pale, from), oneOutput));
        tellsNoLie(
          two,
          two.zones.map((_, zone) => (zone < two.zones.length / 2 ? first : second)),
        );
      }),
      { numRuns: 3 },
    );
  },
);

it('two racks alike are traced once', () => {
  fc.assert(
    fc.property(anyRack(), fc.boolean(), (made, oneOutput) => {
      const two = twice(made, oneOutput);
      const field = lightField(two);
      const occupancy = two.zones.map(() => 0);
      const half = two.zones.length / 2;
      for (let zone = 0; zone < half; zone++) {
        const [first, second] = [zone, zone + half].map((one) =>
          sure(field.zone(occupancy, one)).outputs.filter((o) => o),
        );
        expect(sure(second)).toHaveLength(sure(first).length);
        sure(first).forEach((one, n) => {
          expect(sure(second)[n]).toBe(one);
        });
      }
    }),
    { numRuns: 10 },
  );
});

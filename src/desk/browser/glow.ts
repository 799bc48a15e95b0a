/** From the light of the rack to what a shelf's picture shows of it. */

import type { ResolvedBag, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { LevelMap } from '../../answers/light/level-map.ts';
import type { BagMoment, LightStanding, RackMoment } from '../../answers/light/moment.ts';
import type { ScaleBand } from '../../page/level-scale.ts';
import { type BagGlow, cellsAt, type OpenLight } from '../../page/shelf-above.ts';
import { shortList } from '../../words/lists.ts';

/** What is told in the picture of a bag that is not as asked for. */
const FAULTS: Readonly<Record<LightStanding, string | undefined>> = {
  dark: undefined,
  inside: undefined,
  leak: 'leak',
  unlit: 'unlit',
  below: 'low',
  above: 'high',
};

/** How a bag stands, in words. */
export const STANDING_WORDS: Readonly<Record<LightStanding, string>> = {
  dark: 'dark, as asked',
  inside: 'inside the band',
  leak: 'light while it is to be dark',
  unlit: 'not reached from that side',
  below: 'below the band',
  above: 'above the band',
};

/** Where a shelf's light is looked at: mm above it, with the map of that height where it is worked out. */
export interface LookedAt {
  readonly height: number;
  readonly map: LevelMap | undefined;
}

/** The light of a shelf's bags, by the bag's name; with `lamp`, what share of it is that lamp's. */
export function glowOf(
  plan: ResolvedPlan,
  moment: RackMoment,
  standing: readonly number[],
  looked: LookedAt,
  lamp: string | undefined,
): Map<string, BagGlow> {
  const found = new Map<string, BagGlow>();
  for (const zone of moment.zones) {
    const index = plan.zones.findIndex(({ name }) => name === zone.zone);
    const kind = plan.bags[standing[index] ?? -1];
    if (!kind) continue;
    for (const bag of zone.bags) {
      const say = lamp === undefined ? undefined : lampShareWords(bag, lamp);
      found.set(bag.bag, {
        ...glowOfBag(kind, bag, looked),
        band: zone.band,
        fault: FAULTS[bag.standing],
        say,
      });
    }
  }
  return found;
}

/** Until the map is there, the cells are those between the layers that the moment tells of. */
function glowOfBag(kind: ResolvedBag, { bag, level, points, pull }: BagMoment, { height, map }: LookedAt) {
  const mapped = map?.height === height ? (map.bags.get(bag) ?? []) : undefined;
  return { level, cells: mapped ?? cellsAt(kind, points, height), pull };
}

/** The light between a shelf's bags, each place with the band of the zone it is in. */
export function openLightOf(
  plan: ResolvedPlan,
  moment: RackMoment,
  { open, step, shelf }: LevelMap,
): OpenLight {
  const zones = plan.zones.filter((zone) => zone.shelf === shelf);
  const bandAt = (x: number, y: number) => {
    const zone = zones.find((one) => one.x[0] <= x && x <= one.x[1] && one.y[0] <= y && y <= one.y[1]);
    return moment.zones.find((one) => one.zone === zone?.name)?.band;
  };
  return { places: open.map((one) => ({ ...one, band: bandAt(one.x, one.y) })), step };
}

/** The bands that zones ask for at a moment, those alike as one. */
export function scaleBands({ zones }: RackMoment): ScaleBand[] {
  const found = new Map<string, { names: string[]; band: readonly [number, number] }>();
  for (const { zone, band } of zones) {
    if (!band) continue;
    const known = found.get(band.join());
    if (known) known.names.push(zone);
    else found.set(band.join(), { names: [zone], band });
  }
  return [...found.values()].map(({ names, band }) => ({
    name: `${band.map(Math.round).join(' to ')} lx: ${shortList(names)}`,
    band,
  }));
}

/** Of a bag's light, the share that comes from a lamp: `62 %`. */
export function lampShareWords({ shares }: Pick<BagMoment, 'shares'>, lamp: string): string {
  return shareWords(shares.find(({ from }) => from === lamp)?.share ?? 0);
}

const LEAST_SHARE = 0.005;

/** What a bag's light comes from: the three that give most, as far as they give a half per cent. */
export function sharesWords({ shares }: Pick<BagMoment, 'shares'>): string {
  return shares
    .filter(({ share }) => share >= LEAST_SHARE)
    .slice(0, 3)
    .map(({ from, share }) => `${from} ${shareWords(share)}`)
    .join('; ');
}

/** Never rounded up to all, nor down to nothing. */
function shareWords(share: number): string {
  if (share > 0 && share < LEAST_SHARE) return 'under 1 %';
  if (share < 1 && share >= 1 - LEAST_SHARE) return 'over 99 %';
  return `${Math.round(share * 100)} %`;
}

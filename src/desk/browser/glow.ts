/** From the light of the rack to what a shelf's picture shows of it. */

import type { ResolvedBag, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { BagMoment, LightStanding, RackMoment } from '../../answers/light/moment.ts';
import { type BagGlow, cellsAt } from '../../page/shelf-above.ts';

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

/** The light of a shelf's bags at `height` mm above it, by the bag's name; with `lamp`, what share of it is that lamp's. */
export function glowOf(
  plan: ResolvedPlan,
  moment: RackMoment,
  standing: readonly number[],
  height: number,
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
        ...glowOfBag(kind, bag, height),
        band: zone.band,
        fault: FAULTS[bag.standing],
        say,
      });
    }
  }
  return found;
}

function glowOfBag(kind: ResolvedBag, { level, points, pull }: BagMoment, height: number) {
  return { level, cells: cellsAt(kind, points, height), pull };
}

/** Of a bag's light, the share that comes from a lamp: `62 %`. */
export function lampShareWords({ shares }: BagMoment, lamp: string): string {
  const share = shares.find(({ from }) => from.includes(lamp))?.share ?? 0;
  return `${Math.round(share * 100)} %`;
}

/**
 * How a drawing of the rack is to be looked at: what stands there, which lamps
 * burn, and whether its parts can be picked.
 *
 * Always holds: what burns and what is picked is told by a class and a name,
 * never by colour alone.
 */

import type { ResolvedPlan, Vec3 } from '../../compiler/plan/plan.ts';
import { html, type Markup } from './html.ts';

export interface ShownAs {
  /** For each zone the index of the kind of bag that stands there, or -1; left out: each zone's first batch. */
  readonly standing?: readonly number[];
  /** Names of the lamps that burn; left out, all are drawn alike. */
  readonly burning?: ReadonlySet<string>;
  /** The likely ways of the tips of what grows in a zone, by the zone's name. */
  readonly growth?: ReadonlyMap<string, readonly Vec3[]>;
  /** Parts can be picked by pointer and keyboard. */
  readonly pick?: boolean;
  /**
   * Single bags can be picked, and not the rack's parts: the name of the bag in each place, by the place's name. A
   * place without one is free.
   */
  readonly bags?: ReadonlyMap<string, string>;
  /** The part that is picked; a place is of the kind `place`. */
  readonly picked?: { readonly kind: string; readonly name: string } | undefined;
}

/** The index of the kind of bag drawn in a zone; -1 for an empty place. */
export function standingIn(plan: ResolvedPlan, zone: number, { standing }: ShownAs): number {
  if (standing) return standing[zone] ?? -1;
  return plan.batches.find((one) => one.zones.some((stay) => stay.zone === zone))?.bag ?? -1;
}

/** Attributes of a part's outermost element; none in a drawing that is only looked at. */
export function marks(kind: 'lamp' | 'screen' | 'zone', name: string, shown: ShownAs): Markup | string {
  if (!shown.pick || shown.bags) return '';
  const isPicked = shown.picked?.kind === kind && shown.picked.name === name;
  const burns = kind === 'lamp' && shown.burning !== undefined;
  const state = burns ? (shown.burning?.has(name) ? ', burning' : ', off') : '';
  const classes = [isPicked && 'picked', burns && (shown.burning?.has(name) ? 'burning' : 'off')].filter(
    Boolean,
  );
  return html` data-kind="${kind}" data-name="${name}" class="${classes.join(' ')}" tabindex="0" role="button" aria-pressed="${isPicked ? 'true' : 'false'}" aria-label="${kind} ${name}${state}"`;
}

/** Attributes of a place of the rack, where single bags can be picked. */
export function placeMarks(place: string, shown: ShownAs): Markup | string {
  if (!shown.bags) return '';
  const isPicked = shown.picked?.kind === 'place' && shown.picked.name === place;
  const words = placeTitle(place, shown);
  return html` data-kind="place" data-name="${place}" class="${isPicked ? 'picked' : ''}" tabindex="0" role="button" aria-pressed="${isPicked ? 'true' : 'false'}" aria-label="${words}"`;
}

/** What a place holds by the grow book; of a drawing by the plan, the bag of the place. */
export function placeTitle(place: string, { bags }: ShownAs): string {
  if (!bags) return `bag ${place}`;
  const bag = bags.get(place);
  return bag === undefined ? `free place ${place}` : `bag ${bag} in ${place}`;
}

/** Whether a bag is drawn in a place: by the grow book where it is known, else by the plan. */
export const isStanding = (place: string, byPlan: boolean, { bags }: ShownAs): boolean =>
  bags ? bags.has(place) : byPlan;

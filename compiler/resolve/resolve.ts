/**
 * From the tree to the resolved plan, part by part; whatever is healthy is
 * checked even where something else is not.
 */

import type { Board } from '../../shared/board.ts';
import type { Units } from '../../shared/measures.ts';
import type { Report } from '../findings/collector.ts';
import type {
  Assumption,
  ResolvedBackground,
  ResolvedBag,
  ResolvedBatch,
  ResolvedController,
  ResolvedLamp,
  ResolvedPlan,
  ResolvedScreen,
  ResolvedShelf,
  ResolvedZone,
} from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { resolveBags } from './bags.ts';
import { draftBatches, resolveBatches } from './batches.ts';
import { Context } from './context.ts';
import { resolveGrowth } from './growth.ts';
import { LampDrafts } from './lamps.ts';
import {
  assumeSurfaces,
  checkVersion,
  resolveCircuit,
  resolveControllers,
  resolveShelves,
  resolveTimezone,
} from './rack.ts';
import { Regimes } from './regimes.ts';
import { resolveRoom } from './room.ts';
import { lampSides } from './sides.ts';
import { resolveBackground, resolveScreens } from './surroundings.ts';
import { resolveVisits, VisitHours } from './visits.ts';
import { resolveZones } from './zones.ts';

/** The plan as far as it could be read: entries that could not are undefined, in their place. */
export interface Draft extends Omit<ResolvedPlan, keyof Drafted | 'timezone' | 'assumed'>, Drafted {
  readonly timezone: string | undefined;
  readonly context: Context;
}

interface Drafted {
  readonly controllers: readonly (ResolvedController | undefined)[];
  readonly shelves: readonly (ResolvedShelf | undefined)[];
  readonly zones: readonly (ResolvedZone | undefined)[];
  readonly lamps: readonly (ResolvedLamp | undefined)[];
  readonly screens: readonly (ResolvedScreen | undefined)[];
  readonly background: readonly (ResolvedBackground | undefined)[];
  readonly bags: readonly (ResolvedBag | undefined)[];
  readonly batches: readonly (ResolvedBatch | undefined)[];
}

/** Resolves every part of the tree. */
export function resolveDraft(
  root: MapNode,
  broken: ReadonlySet<Node>,
  boards: Readonly<Record<string, Board>>,
  units: Units,
  report: Report,
): Draft {
  const context = new Context(root, broken, boards, units, report);
  checkVersion(context);
  const controllers = resolveControllers(context);
  const shelves = resolveShelves(context);
  assumeSurfaces(context);
  const bags = resolveBags(context);
  const batchDrafts = draftBatches(context);
  const lampDrafts = new LampDrafts(context);
  const zones = resolveZones(context, shelves, lampDrafts.stands(shelves));
  const bagOfZone = (zone: number) => {
    const bag = batchDrafts.find((batch) => batch.zones.includes(zone))?.bag;
    return bags[bag ?? 0];
  };
  const lamps = lampDrafts.resolve({ controllers, shelves, zones, bagOfZone });
  const screens = resolveScreens(context, shelves);
  const background = resolveBackground(context, zones);
  const hours = new VisitHours(context);
  const visits = resolveVisits(context, hours);
  const room = resolveRoom(context);
  const regimes = new Regimes(context, hours, room);
  const batches = resolveBatches(context, batchDrafts, {
    regimes,
    zones,
    bags,
    lampSides: (zone) => lampSides(zone, { zones, lamps, screens }),
    areLampsKnown: lamps.every((lamp) => lamp !== undefined),
    harvest: visits.harvest,
  });
  return {
    context,
    title: context.text(root, 'title') ?? 'Shelf light plan',
    timezone: resolveTimezone(context),
    units,
    clock: context.text(root, 'clock') === 'steady' ? 'steady' : 'civil',
    circuit: resolveCircuit(context),
    controllers,
    shelves,
    zones,
    lamps,
    screens,
    background,
    bags,
    batches,
    visits,
    room,
    growth: resolveGrowth(context),
  };
}

/** The whole plan, once nothing is missing from it; undefined otherwise. */
export function wholePlan(draft: Draft): ResolvedPlan | undefined {
  const { context, timezone, ...rest } = draft;
  const controllers = whole(draft.controllers);
  const shelves = whole(draft.shelves);
  const zones = whole(draft.zones);
  const lamps = whole(draft.lamps);
  const screens = whole(draft.screens);
  const background = whole(draft.background);
  const bags = whole(draft.bags);
  const batches = whole(draft.batches);
  if (!timezone || !controllers || !shelves || !zones || !lamps) return undefined;
  if (!screens || !background || !bags || !batches) return undefined;
  const assumed = inPlanOrder(context.assumed);
  return {
    ...rest,
    timezone,
    controllers,
    shelves,
    zones,
    lamps,
    screens,
    background,
    bags,
    batches,
    assumed,
  };
}

function whole<T>(entries: readonly (T | undefined)[]): readonly T[] | undefined {
  const found = entries.filter((entry) => entry !== undefined);
  return found.length === entries.length ? found : undefined;
}

const ORDER = [
  'place',
  'controllers',
  'shelves',
  'surfaces',
  'zones',
  'lamps',
  'background',
  'bags',
  'regimes',
  'visits',
  'room',
  'growth',
];

function inPlanOrder(assumed: readonly Assumption[]): readonly Assumption[] {
  const rank = ({ path }: Assumption) => ORDER.indexOf(path.split(/[.:]/)[0] ?? '');
  return [...assumed].sort((a, b) => rank(a) - rank(b));
}

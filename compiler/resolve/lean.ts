/**
 * Lean: the side growth is drawn toward, as written and as it turns out for
 * one zone with its own lamps.
 */

import { type Degrees, degrees } from '../../shared/units.ts';
import type { Span } from '../findings/finding.ts';
import type { Lean, ResolvedBag } from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { EVERY_DAYS } from './builtin.ts';
import type { Context } from './context.ts';

/** A lean as written. `sides` is undefined for `lean: sway` alone. */
export type LeanDraft =
  | { readonly kind: 'upright' }
  | {
      readonly kind: 'sides';
      readonly motion: 'hold' | 'sway' | 'wind';
      readonly sides: readonly Degrees[] | undefined;
      readonly every: number;
      readonly by: 'lamps' | 'turning';
      /** Where it is written; undefined when it comes from the built-in regime. */
      readonly span: Span | undefined;
    };

const UPRIGHT: LeanDraft = { kind: 'upright' };
const MOTIONS = ['hold', 'sway', 'wind'] as const;

/** Reads the `lean` of a stage; undefined where it cannot be read. */
export function readLean(context: Context, stage: MapNode, path: string): LeanDraft | undefined {
  const node = context.node(stage, 'lean');
  const text = context.source(node);
  if (text === 'upright') return UPRIGHT;
  if (text === 'sway') return swayAlone(context, node?.span, path);
  if (node?.kind !== 'map') return undefined;
  const [motion, other] = MOTIONS.filter((key) => context.has(node, key));
  if (motion === undefined) {
    const facts = { key: 'sway', where: `${path}.lean`, example: '[left, right]' };
    context.report('key-missing', context.keySpan(stage, 'lean'), facts);
    return undefined;
  }
  const extra =
    other ??
    (motion === 'hold' ? (['every', 'by'] as const).find((key) => context.has(node, key)) : undefined);
  if (extra !== undefined) {
    const facts = { entry: `${path}.lean`, key: extra, other: motion };
    context.report('key-excludes', context.keySpan(node, extra), facts, context.keySpan(node, motion));
    return undefined;
  }
  return writtenMotion(context, node, motion, path);
}

/** Sway between the zone's own lamp sides, at the usual interval. */
export function swayAlone(context: Context, span: Span | undefined, path: string): LeanDraft {
  context.assume(`${path}.lean.every`, EVERY_DAYS.text, EVERY_DAYS.confidence, EVERY_DAYS.because);
  return { kind: 'sides', motion: 'sway', sides: undefined, every: EVERY_DAYS.value, by: 'lamps', span };
}

function writtenMotion(
  context: Context,
  map: MapNode,
  motion: 'hold' | 'sway' | 'wind',
  path: string,
): LeanDraft | undefined {
  const node = context.node(map, motion);
  const sides = readSides(context, node, motion);
  if (!sides || !node) return undefined;
  const same = sides.length > 1 && sides.some((side, i) => side === sides[(i + 1) % sides.length]);
  if (same || (motion === 'wind' && sides.length < 2)) {
    const facts = {
      text: undefined,
      limits: { must: 'sides-differ' },
      example: '[left, right]',
    } as const;
    context.report('value-out-of-range', node.span, facts);
    return undefined;
  }
  const every = everyDays(context, map, motion, path);
  const by = context.text(map, 'by') === 'turning' ? 'turning' : 'lamps';
  return { kind: 'sides', motion, sides, every, by, span: node.span };
}

function readSides(context: Context, node: Node | undefined, motion: string): readonly Degrees[] | undefined {
  if (motion === 'hold') {
    const side = context.sideOf(node);
    return side === undefined ? undefined : [side];
  }
  const items = context.items(node);
  return items && context.tuple(node, items.length, (item) => context.sideOf(item));
}

function everyDays(context: Context, map: MapNode, motion: string, path: string): number {
  const minutes = context.quantity(map, 'every', 'time');
  if (minutes !== undefined) return minutes / 1440;
  if (motion !== 'hold' && !context.has(map, 'every')) {
    context.assume(`${path}.lean.every`, EVERY_DAYS.text, EVERY_DAYS.confidence, EVERY_DAYS.because);
  }
  return EVERY_DAYS.value;
}

/** The zone a lean is worked out for. */
export interface LeanPlace {
  readonly zone: string;
  /** Sides on which the zone has lamps. */
  readonly lampSides: readonly Degrees[];
  /** No lamp of the plan has a fault, so that these are all its sides. */
  readonly areLampsKnown: boolean;
  readonly bag: ResolvedBag | undefined;
  readonly stage: string;
  readonly days: number;
  /** Where to point when the lean itself is not written. */
  readonly span: Span;
}

/** A lean for one zone; what cannot be right there is reported. */
export function leanInZone(context: Context, draft: LeanDraft, place: LeanPlace): Lean {
  if (draft.kind === 'upright') return draft;
  const { motion, by } = draft;
  if (by === 'turning') return turningLean(context, draft, place);
  if (motion === 'sway' && place.areLampsKnown) oneSided(context, draft, place);
  const sides = draft.sides ?? lampPair(place.lampSides);
  if (sides.length === 0) return { kind: 'upright' };
  if (sides.length === 1) {
    return { kind: 'sides', motion: 'hold', sides, every: place.days, by, lampSide: undefined };
  }
  return { kind: 'sides', motion, sides, every: draft.every, by, lampSide: undefined };
}

/** Two opposite sides with lamps where there are any, else the first two. */
function lampPair(lampSides: readonly Degrees[]): readonly Degrees[] {
  const sorted = [...lampSides].sort((a, b) => order(a) - order(b));
  const first = sorted.find((side) => sorted.includes(opposite(side)));
  return first === undefined ? sorted.slice(0, 2) : [first, opposite(first)];
}

/** Left before right, front before back. */
function order(side: Degrees): number {
  return [270, 90, 180, 0].indexOf(side);
}

function opposite(side: Degrees): Degrees {
  return degrees((side + 180) % 360);
}

type SidesDraft = Extract<LeanDraft, { kind: 'sides' }>;

/** Warns where a zone with lamps on one side, or none, is asked to sway. */
function oneSided(context: Context, draft: SidesDraft, { zone, lampSides, stage, span }: LeanPlace): void {
  const [only, other] = lampSides;
  if (other !== undefined || (only === undefined && draft.sides)) return;
  const back = only === undefined ? undefined : opposite(only);
  const facts = { zone, stage, side: only, opposite: back };
  context.report('lamp-one-side', draft.span ?? span, facts, undefined, zone);
}

function turningLean(
  context: Context,
  draft: SidesDraft,
  { zone, lampSides, bag, days, stage, span }: LeanPlace,
): Lean {
  const { motion, every, by } = draft;
  const lampSide = draft.sides?.find((side) => lampSides.includes(side)) ?? lampSides[0];
  const sides = draft.sides ?? (lampSide === undefined ? [] : [lampSide, opposite(lampSide)]);
  if (lampSide === undefined || sides.length < 2) {
    context.report('turn-no-lamp', draft.span ?? span, { zone, stage }, undefined, zone);
    return { kind: 'sides', motion: 'hold', sides, every: days, by: 'lamps', lampSide: undefined };
  }
  const square = bag !== undefined && Math.abs(bag.footprint[0] - bag.footprint[1]) <= 1;
  const turns = sides.map((side, i) => ((sides[(i + 1) % sides.length] ?? side) - side + 360) % 360);
  if (bag && turns.some((turn) => turn !== 180 && !(square && turn % 90 === 0))) {
    context.report('turn-no-fit', draft.span ?? span, { bag: bag.name, square }, bag.span);
  }
  return { kind: 'sides', motion, sides, every, by, lampSide };
}

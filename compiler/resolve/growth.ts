/**
 * Inputs of the likely-lean estimate, each low, middle and high.
 */

import type { QuantityKind } from '../findings/facts.ts';
import type { Range, ResolvedGrowth } from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { GROWTH } from './builtin.ts';
import type { Context } from './context.ts';

export function resolveGrowth(context: Context): ResolvedGrowth {
  const map = context.map(context.root, 'growth');
  const range = (key: keyof ResolvedGrowth, read: (node: Node | undefined) => number | undefined) =>
    oneRange(context, map, key, read);
  const quantity = (kind: QuantityKind, divisor: number) => (node: Node | undefined) => {
    const value = context.quantityOf(node, kind);
    return value === undefined ? undefined : value / divisor;
  };
  return {
    rate: range('rate', quantity('growth', 1)),
    tip: range('tip', quantity('length', 1)),
    pull: range('pull', (node) => context.numberOf(node)),
    gravity: range('gravity', (node) => context.numberOf(node)),
    lag: range('lag', quantity('time', 1440)),
  };
}

function oneRange(
  context: Context,
  map: MapNode | undefined,
  key: keyof ResolvedGrowth,
  read: (node: Node | undefined) => number | undefined,
): Range {
  const { low, mid, high } = GROWTH[key];
  if (!context.has(map, key)) {
    context.assume(
      `growth.${key}`,
      context.told(GROWTH[key]),
      'very low',
      'nothing is published; measure your own',
    );
    return { low, mid, high };
  }
  const node = context.node(map, key);
  const written = node?.kind === 'list' ? context.tuple(node, 3, read) : undefined;
  if (written) return orderedRange(context, node, written, key);
  const value = read(node);
  return value === undefined ? { low, mid, high } : { low: value, mid: value, high: value };
}

function orderedRange(
  context: Context,
  node: Node | undefined,
  values: readonly number[],
  key: string,
): Range {
  const [low = 0, mid = 0, high = 0] = values;
  if (node && (low > mid || mid > high))
    context.report('value-order', node.span, { key, from: low, to: high });
  return { low, mid, high };
}

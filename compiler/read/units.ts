/**
 * In which units a plan is written, and so in which its grower is answered.
 *
 * Always holds: the commoner of the two systems among its quantities; metric
 * where neither is commoner.
 */

import { systemOf, type Units } from '../../shared/measures.ts';
import type { QuantityKind } from '../findings/facts.ts';
import { unitOf } from './quantity.ts';
import { type Node, scalarsIn } from './tree.ts';

/** Kinds that metric and US plans write in different units. */
const KINDS: readonly QuantityKind[] = [
  'length',
  'mass',
  'temperature',
  'fluxPerLength',
  'growth',
  'density',
];

/** The units of a plan's tree. */
export function unitsOfPlan(root: Node): Units {
  let us = 0;
  for (const { source } of scalarsIn(root)) {
    const unit = KINDS.map((kind) => unitOf(source, kind)).find((one) => one !== undefined);
    const system = unit === undefined ? undefined : systemOf(unit);
    if (system !== undefined) us += system === 'us' ? 1 : -1;
  }
  return us > 0 ? 'us' : 'metric';
}

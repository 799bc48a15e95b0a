/**
 * The bag sheet of a batch: what to weigh out for each bag and for all of them.
 *
 * Always holds: masses are kilograms, lengths millimetres; parts as weighed
 * plus water give the wet mass of the bag; the dry parts stand in the shares
 * the plan gives. Spawn comes on top of the fill. The sheet counts every bag
 * that was sealed, whatever became of it since: a lot's sheet does not change.
 */

import { fillHeight } from '../../../compiler/plan/block-height.ts';
import type { ResolvedBatch, ResolvedMix, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Units } from '../../../shared/measures.ts';
import { type Remark, remarksOn, roomOfStages } from './practice.ts';

/** One part of the mix. */
export interface PartLine {
  readonly name: string;
  /** Share of the dry mass, 0–1. */
  readonly share: number;
  /** Its own moisture as it is weighed. */
  readonly moisture: number;
  readonly dryKg: number;
  /** To weigh out, with the water it holds. */
  readonly weighKg: number;
}

/** What goes into one bag; multiply by the number of bags for the batch. */
export interface BagSheet {
  readonly batch: string;
  readonly bagName: string;
  readonly bags: number;
  readonly wetKg: number;
  readonly dryKg: number;
  readonly moisture: number;
  /** Empty when the plan names no mix. */
  readonly parts: readonly PartLine[];
  /** Negative when the parts are wetter than the mix is meant to be. */
  readonly waterKg: number;
  /** Undefined when the plan names no mix. */
  readonly spawnKg: number | undefined;
  /** Share mixed on top for what is spilt and sticks, 0–1. */
  readonly extra: number;
  readonly blockMm: number;
  /** Free height above the block, mm; negative when the block is higher than the bag. */
  readonly headspaceMm: number;
  /** Height of growth that is likely by the first harvest day, mm: an estimate; undefined without a harvest. */
  readonly reachMm: { readonly low: number; readonly mid: number; readonly high: number } | undefined;
  readonly remarks: readonly Remark[];
}

/** Taken where the plan names no mix (`references`: 60 %, 56–65, published range 60–70 %). */
const MOISTURE_UNNAMED = 0.6;

/** The sheet of a batch; `extra` is the share to mix on top (0.05 for 5 %). */
export function bagSheet(plan: ResolvedPlan, batch: ResolvedBatch, units: Units, extra = 0): BagSheet {
  const bag = itemAt(plan.bags, batch.bag);
  const wetKg = bag.fill;
  const moisture = bag.mix?.moisture ?? MOISTURE_UNNAMED;
  const dryKg = wetKg * (1 - moisture);
  const parts = bag.mix ? partLines(bag.mix, dryKg) : [];
  const held = bag.mix ? parts.reduce((sum, part) => sum + part.weighKg, 0) : dryKg;
  const figures = {
    batch: batch.name,
    bagName: bag.name,
    bags: bagsIn(plan, batch),
    wetKg,
    dryKg,
    moisture,
    parts,
    waterKg: wetKg - held,
    spawnKg: bag.mix && wetKg * bag.mix.spawn,
    extra,
    blockMm: fillHeight(bag),
    headspaceMm: bag.height - fillHeight(bag),
    reachMm: reach(plan, batch),
  };
  const stages = batch.zones.flatMap((stay) => stay.stages);
  return {
    ...figures,
    remarks: [...remarksOn(plan, bag, figures, units), ...roomOfStages(plan, stages, units)],
  };
}

/** Bags that the batch was sealed with. */
function bagsIn(plan: ResolvedPlan, batch: ResolvedBatch): number {
  return batch.home.reduce((sum, zone) => sum + itemAt(plan.zones, zone).places.length, 0);
}

/** Growth from the second lit stage (the first one makes knobs) to the first harvest day, at the plan's assumed rate. */
function reach(plan: ResolvedPlan, batch: ResolvedBatch): BagSheet['reachMm'] {
  const { harvest } = plan.visits;
  const begins = batch.zones.flatMap(({ stages }) => {
    const [knobs, climb] = stages.filter((stage) => stage.light !== undefined);
    return (climb ?? knobs)?.from ?? [];
  });
  if (!harvest || begins.length === 0) return undefined;
  const days = batch.sealed + harvest.from - Math.min(...begins);
  if (days <= 0) return undefined;
  const { low, mid, high } = plan.growth.rate;
  return { low: low * days, mid: mid * days, high: high * days };
}

function partLines(mix: ResolvedMix, dryKg: number): PartLine[] {
  const whole = mix.parts.reduce((sum, part) => sum + part.share, 0);
  return mix.parts.map((part) => {
    const share = part.share / whole;
    return {
      name: part.name,
      share,
      moisture: part.moisture,
      dryKg: dryKg * share,
      weighKg: (dryKg * share) / (1 - part.moisture),
    };
  });
}

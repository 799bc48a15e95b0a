/**
 * The bag sheet of a batch: what to weigh out for each bag and for all of them.
 *
 * Always holds: masses are kilograms, lengths millimetres; parts as weighed
 * plus water give the wet mass of the bag; the dry parts stand in the shares
 * the plan gives. Spawn comes on top of the fill.
 */

import type { ResolvedBag, ResolvedBatch, ResolvedMix, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type Remark, remarksOn } from './practice.ts';

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
  readonly blockMm: number;
  readonly headspaceMm: number;
  readonly remarks: readonly Remark[];
}

/** Taken where the plan names no mix (`references`: 60 %, 56–65, published range 60–70 %). */
const MOISTURE_UNNAMED = 0.6;

/**
 * The sheet of a batch. `out` are the bags that were taken out (`A2` …); they
 * are not counted.
 */
export function bagSheet(plan: ResolvedPlan, batch: ResolvedBatch, out: ReadonlySet<string>): BagSheet {
  const bag = itemAt(plan.bags, batch.bag);
  const wetKg = bag.fill;
  const moisture = bag.mix?.moisture ?? MOISTURE_UNNAMED;
  const dryKg = wetKg * (1 - moisture);
  const parts = bag.mix ? partLines(bag.mix, dryKg) : [];
  const held = bag.mix ? parts.reduce((sum, part) => sum + part.weighKg, 0) : dryKg;
  const figures = {
    batch: batch.name,
    bagName: bag.name,
    bags: bagsOf(plan, batch).filter((name) => !out.has(name)).length,
    wetKg,
    dryKg,
    moisture,
    parts,
    waterKg: wetKg - held,
    spawnKg: bag.mix && wetKg * bag.mix.spawn,
    ...heights(bag),
  };
  return { ...figures, remarks: remarksOn(plan, bag, figures) };
}

/** Names of a batch's bags, in plan order. */
function bagsOf(plan: ResolvedPlan, batch: ResolvedBatch): string[] {
  return batch.zones.flatMap(({ zone }) => itemAt(plan.zones, zone).places.map((place) => place.name));
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

function heights(bag: ResolvedBag): { blockMm: number; headspaceMm: number } {
  const [across, deep] = bag.footprint;
  // kg ÷ (kg/L) = L = 10⁶ mm³
  const blockMm = ((bag.fill / bag.density) * 1e6) / (across * deep);
  return { blockMm, headspaceMm: bag.height - blockMm };
}

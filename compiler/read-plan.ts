/**
 * Reads a plan: text in, resolved plan and findings out.
 *
 * Always holds: never throws, whatever it is given; all faults of a text are
 * found in one run; there is a plan exactly when no finding is an error.
 */

import type { Board } from '../shared/board.ts';
import type { Units } from '../shared/measures.ts';
import { noteAssumptions } from './checks/assumptions.ts';
import { checkGeometry, checkOccupancy } from './checks/geometry.ts';
import { checkHarvest } from './checks/harvest.ts';
import { checkControllers, checkZones } from './checks/outputs.ts';
import { Collector } from './findings/collector.ts';
import type { Finding } from './findings/finding.ts';
import type { ResolvedPlan } from './plan/plan.ts';
import { expandLike } from './read/like.ts';
import { parseText } from './read/parse.ts';
import { checkShape } from './read/shape.ts';
import { decodeText } from './read/text.ts';
import type { MapNode } from './read/tree.ts';
import { unitsOfPlan } from './read/units.ts';
import { resolveDraft, wholePlan } from './resolve/resolve.ts';

export interface ReadOptions {
  /** The boards there are, by id. */
  readonly boards: Readonly<Record<string, Board>>;
}

export interface PlanReading {
  /** Undefined when there is an error among the findings. */
  readonly plan: ResolvedPlan | undefined;
  /** In the order of the text. */
  readonly findings: readonly Finding[];
  /** The text as decoded: what spans count in, and what excerpts are cut from. */
  readonly text: string;
  /** The units it is written in, and so those in which findings are told. */
  readonly units: Units;
}

/** Reads, checks and resolves a plan. */
export function readPlan(source: Uint8Array | string, { boards }: ReadOptions): PlanReading {
  const findings = new Collector();
  const { text, readable } = decodeText(source, findings.report);
  const root = readable ? parseText(text, findings.report) : undefined;
  const units = root ? unitsOfPlan(root) : 'metric';
  const plan = root && planOf(root, units, boards, findings);
  return { plan: findings.hasErrors ? undefined : plan, findings: findings.sorted(), text, units };
}

function planOf(
  root: MapNode,
  units: Units,
  boards: Readonly<Record<string, Board>>,
  findings: Collector,
): ResolvedPlan | undefined {
  const { report } = findings;
  const bases = expandLike(root, report);
  const { broken } = checkShape(root, bases, report);
  const draft = resolveDraft(root, broken, boards, units, report);
  checkGeometry(draft, report);
  checkOccupancy(draft, report);
  checkControllers(draft, report);
  if (!findings.hasErrors) noteAssumptions(draft, report);
  const plan = wholePlan(draft);
  if (plan) {
    checkZones(plan, report);
    checkHarvest(plan, report);
  }
  return plan;
}

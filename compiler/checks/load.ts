/**
 * Electrical load: what burns together by the schedule, and what burns when
 * everything is on, as with the work light.
 *
 * Always holds: facts only; it warns and never forbids. Continuous load (3 h or
 * more) is commonly held to 80 % of a rating (US NEC 210.19(A)(1) and
 * 210.20(A), read in secondary pages); other countries differ. For minutes the
 * whole rating counts. Lamps without a power in the plan take no part.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Report } from '../findings/collector.ts';
import type { FactsOf } from '../findings/facts.ts';
import { NOWHERE } from '../findings/finding.ts';
import { lampsOfOutput } from '../plan/on-the-rack.ts';
import type { ResolvedController, ResolvedPlan } from '../plan/plan.ts';
import type { Block, DayBlocks } from '../steer/block.ts';

const CONTINUOUS = 0.8;
/** Dimmed levels run from 0 to this. */
const FULL = 16;

/** `load-circuit` for the circuit, `load-supply` for each supply, where the load comes near the rating. */
export function checkLoad(plan: ResolvedPlan, days: readonly DayBlocks[], report: Report): void {
  const all = days.flatMap(({ day, blocks }) => blocks.map((block): Burning => ({ day, block })));
  circuitLoad(plan, all, report);
  const own = plan.controllers.map((): Burning[] => []);
  for (const one of all) itemAt(own, one.block.controller).push(one);
  for (const [index, blocks] of own.entries()) supplyLoad(plan, index, blocks, report);
}

/** A block and the day it belongs to. */
interface Burning {
  readonly day: number;
  readonly block: Block;
}

function circuitLoad(plan: ResolvedPlan, blocks: readonly Burning[], report: Report): void {
  const { circuit } = plan;
  if (!circuit) return;
  const all = plan.lamps.reduce((sum, lamp) => sum + (lamp.power ?? 0), 0) / circuit.volts;
  const together = mostAtOnce(
    blocks,
    (block) => wattsOf(plan, block.controller, block.output, block.level) / circuit.volts,
  );
  const facts = loadFacts(all, together, circuit.amperes);
  if (facts) report('load-circuit', circuit.span ?? NOWHERE, facts);
}

/** Coils, and the lamps themselves where the board switches low voltage. */
function supplyLoad(plan: ResolvedPlan, index: number, blocks: readonly Burning[], report: Report): void {
  const controller = itemAt(plan.controllers, index);
  const { supply, board, name, span } = controller;
  if (!supply) return;
  const draws = (output: number, level: number): number =>
    coilOf(controller, output) +
    (board.limits.coilAmperes === undefined ? wattsOf(plan, index, output, level) / supply.volts : 0);
  const used = [
    ...new Set(
      plan.lamps.filter(({ output }) => output.controller === index).map(({ output }) => output.number),
    ),
  ];
  const all = used.reduce((sum, output) => sum + draws(output, FULL), 0);
  const together = mostAtOnce(blocks, (block) => draws(block.output, block.level));
  const facts = loadFacts(all, together, supply.amperes);
  if (facts) report('load-supply', span, { controller: name, ...facts });
}

function coilOf({ board }: ResolvedController, output: number): number {
  return board.outputs[output - 1]?.kind === 'relay' ? (board.limits.coilAmperes ?? 0) : 0;
}

function wattsOf(plan: ResolvedPlan, controller: number, number: number, level: number): number {
  const own = lampsOfOutput(plan, controller, number);
  return (own.reduce((sum, lamp) => sum + (itemAt(plan.lamps, lamp).power ?? 0), 0) * level) / FULL;
}

/** The most that burns at one instant, blocks of all days taken together. */
function mostAtOnce(blocks: readonly Burning[], draws: (block: Block) => number): number {
  // What an output draws at a level is the same on every day.
  const known = new Map<number, number>();
  const changes = blocks.flatMap(({ day, block }): [at: number, more: number][] => {
    const key = (block.controller * 256 + block.output) * (FULL + 1) + block.level;
    const more = known.get(key) ?? draws(block);
    known.set(key, more);
    const from = day * 1440 + block.anchor + block.from;
    return [
      [from, more],
      [from + block.length, -more],
    ];
  });
  changes.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  let [now, most] = [0, 0];
  for (const [, more] of changes) {
    now += more;
    most = Math.max(most, now);
  }
  return most;
}

const hundredth = (value: number): number => Math.round(value * 100) / 100;

/** Near the rating by the schedule for hours, or above it for minutes with everything on; undefined when neither. */
function loadFacts(all: number, together: number, rating: number): FactsOf['load-circuit'] | undefined {
  const most = CONTINUOUS * rating;
  const long = together > most + 1e-9;
  if (!long && all <= rating + 1e-9) return undefined;
  return { amperes: hundredth(long ? together : all), rating, most: hundredth(most), everything: !long };
}

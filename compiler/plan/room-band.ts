/**
 * The band of temperature that is to be kept: of a stage, and of all stages that a board's zones go through.
 *
 * Always holds: a stage that says none has the room's; a board logs only what no stage of its zones
 * allows. These questions are answered here and nowhere else.
 */

import { celsius } from '../../shared/units.ts';
import { controllerOfZone } from './on-the-rack.ts';
import type { ResolvedPlan, ResolvedStage, TemperatureBand } from './plan.ts';

/** What a stage asks of the room; undefined where neither it nor the plan's `room` says. */
export const bandOfStage = (
  { room }: Pick<ResolvedPlan, 'room'>,
  { keep }: Pick<ResolvedStage, 'keep'>,
): TemperatureBand | undefined => keep ?? room;

/** The widest band that the stages of a controller's (index) zones ask for: the one its board has. */
export function bandOfBoard(plan: ResolvedPlan, controller: number): TemperatureBand | undefined {
  const bands = plan.batches.flatMap(({ zones }) =>
    zones
      .filter(({ zone }) => controllerOfZone(plan, zone) === controller)
      .flatMap(({ stages }) => stages.flatMap((stage) => bandOfStage(plan, stage) ?? [])),
  );
  if (bands.length === 0) return plan.room;
  return {
    low: celsius(Math.min(...bands.map(({ low }) => low))),
    high: celsius(Math.max(...bands.map(({ high }) => high))),
  };
}

/**
 * The logged room against the band that each zone's stage asks for, where the
 * board's own band is wider because another stage needs it so.
 *
 * Always holds: a day counts only where its least or most was surely outside;
 * what the board's band tells already is not told again.
 */

import { stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan, TemperatureBand } from '../../../compiler/plan/plan.ts';
import { bandOfBoard, bandOfStage } from '../../../compiler/plan/room-band.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Units } from '../../../shared/measures.ts';
import { bandWords } from '../../words/controller.ts';
import type { Review, ReviewedDay, RoomDay } from './review.ts';

/** A stage of a zone's bags in whose time the room was outside what the stage asks for. */
export interface StageRoom {
  /** Index into the plan's zones. */
  readonly zone: number;
  readonly stage: string;
  readonly band: TemperatureBand;
  /** Days on which the room was outside for some time. */
  readonly days: number;
  /** Least and most of those days, °C. */
  readonly min: number;
  readonly max: number;
}

/** Records have half degrees, to the nearest: within this much of the band nobody knows. */
const ROUNDED_CELSIUS = 0.3;

/** The stages in whose time the room was outside their band, zones and stages in the order of the days. */
export function roomByStage(
  plan: ResolvedPlan,
  { room }: Pick<Review, 'room'>,
  days: readonly Pick<ReviewedDay, 'zone' | 'batch' | 'day'>[],
): StageRoom[] {
  const found = new Map<string, StageRoom>();
  for (const { zone, batch, day } of days) {
    const controller = controllerOfZone(plan, zone);
    const stage = stageOn(stayIn(plan, batch, zone), day);
    const band = stage && bandOfStage(plan, stage);
    const { name } = itemAt(plan.controllers, controller);
    const logged = room.find((one) => one.day === day && one.controller === name);
    if (!stage || !band || !logged || isSame(band, bandOfBoard(plan, controller))) continue;
    if (!isOutside(logged, band)) continue;
    const key = `${zone} ${stage.name}`;
    const before = found.get(key) ?? { zone, stage: stage.name, band, days: 0, min: 99, max: -99 };
    const [min, max] = [Math.min(before.min, logged.min), Math.max(before.max, logged.max)];
    found.set(key, { ...before, days: before.days + 1, min, max });
  }
  return [...found.values()];
}

const isSame = (a: TemperatureBand, b: TemperatureBand | undefined): boolean =>
  a.low === b?.low && a.high === b.high;

const isOutside = ({ min, max }: RoomDay, { low, high }: TemperatureBand): boolean =>
  min <= low - ROUNDED_CELSIUS || max >= high + ROUNDED_CELSIUS;

/** `the room outside the 65 to 80 °F of climb on 3 days (62 to 79 °F)`. */
export function stageRoomWords({ stage, band, days, min, max }: StageRoom, units: Units): string {
  const asked = bandWords(band.low, band.high, units);
  return `the room outside the ${asked} of ${stage} on ${days === 1 ? '1 day' : `${days} days`} (${bandWords(min, max, units)})`;
}

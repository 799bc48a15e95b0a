/**
 * What the bags on the rack want of the room, where a stage of theirs wants
 * another temperature than the rest.
 *
 * Always holds: only stages that bags stand in on the day; nothing is said where
 * no stage has a temperature of its own.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan, ResolvedStage, TemperatureBand } from '../../../compiler/plan/plan.ts';
import { bandOfStage } from '../../../compiler/plan/room-band.ts';
import { temperatureBand } from '../../../shared/measures.ts';
import { celsius } from '../../../shared/units.ts';
import { shortList } from '../../words/lists.ts';
import { doingWords } from '../../words/stages.ts';
import { type BagLife, bagsStanding } from '../bags/lives.ts';

interface Wanting {
  readonly stage: ResolvedStage;
  readonly band: TemperatureBand;
  readonly zones: readonly string[];
}

/** `The room today: 65 to 75 °F for A and C (climbing); …`; undefined: nothing but what the plan's `room` says. */
export function roomToday(plan: ResolvedPlan, lives: readonly BagLife[], day: number): string | undefined {
  const wanting = wantingOn(plan, lives, day);
  if (!wanting.some(({ stage }) => stage.keep !== undefined)) return undefined;
  const each = wanting.map(
    ({ stage, band, zones }) =>
      `${temperatureBand(band, plan.units)} for ${shortList(zones)} (${doingWords(stage.name)})`,
  );
  return `The room today: ${each.join('; ')}.${commonWords(plan, wanting)}`;
}

/** Which temperature is right for all, where they differ. */
function commonWords(plan: ResolvedPlan, wanting: readonly Wanting[]): string {
  const low = Math.max(...wanting.map(({ band }) => band.low));
  const high = Math.min(...wanting.map(({ band }) => band.high));
  const isOne = wanting.every(({ band }) => band.low === low && band.high === high);
  if (isOne) return '';
  if (low > high) return ' No temperature is right for all of them.';
  return ` Right for all of them: ${temperatureBand({ low: celsius(low), high: celsius(high) }, plan.units)}.`;
}

/** The stages in which bags stand on a day, and what each wants. */
function wantingOn(plan: ResolvedPlan, lives: readonly BagLife[], day: number): Wanting[] {
  const found = new Map<string, Wanting>();
  for (const [zone, { name }] of plan.zones.entries()) {
    const batch = batchOn(plan, zone, day);
    const stage = batch === undefined ? undefined : stageOn(stayIn(plan, batch, zone), day);
    const band = stage && bandOfStage(plan, stage);
    if (!stage || !band || bagsStanding(lives, zone, day).length === 0) continue;
    const key = `${stage.name} ${band.low} ${band.high}`;
    found.set(key, { stage, band, zones: [...(found.get(key)?.zones ?? []), name] });
  }
  return [...found.values()];
}

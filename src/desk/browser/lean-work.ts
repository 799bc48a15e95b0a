/**
 * The worker's part in the likely lean: followed once for a plan, drawn for
 * each day that is asked for.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { CivilDay } from '../../../shared/units.ts';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import { LikelyLeans } from '../../answers/light/lean-now.ts';
import { leanDrawing } from '../../page/lean-drawing.ts';
import { list } from '../../words/lists.ts';
import type { DrawnLean } from './messages.ts';

let followed: { readonly sound: SoundPlan; readonly by: string; readonly leans: LikelyLeans } | undefined;

/** What grows at the end of a day, drawn; at the rates that were measured where they were. */
export function drawnLeans(sound: SoundPlan, day: CivilDay, rates: readonly ZoneRate[]): DrawnLean[] {
  const by = JSON.stringify(rates);
  const { zones, batches } = sound.plan;
  const rateOf = (zone: number, batch: number): ZoneRate | undefined =>
    rates.find((one) => one.zone === itemAt(zones, zone).name && one.batch === itemAt(batches, batch).name);
  if (followed?.sound !== sound || followed.by !== by)
    followed = { sound, by, leans: new LikelyLeans(sound, rateOf) };
  return followed.leans.on(day).map((lean, n) => {
    const name = `zone${lean.zones.length > 1 ? 's' : ''} ${list(lean.zones)}`;
    const bag = itemAt(sound.plan.bags, lean.bag);
    return { ...lean, drawing: leanDrawing(bag, lean.shape, name, `lean-${n}`).text };
  });
}

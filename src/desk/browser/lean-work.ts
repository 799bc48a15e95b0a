/**
 * The worker's part in the likely lean: what grows alike is followed once,
 * whatever was typed since, and drawn for each day that is asked for.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { CivilDay } from '../../../shared/units.ts';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import { type KnownCourses, type LeanNow, LikelyLeans } from '../../answers/light/lean-now.ts';
import { leanDrawing } from '../../page/lean-drawing.ts';
import { list } from '../../words/lists.ts';
import type { DrawnLean, LeansAnswer } from './messages.ts';

let followed: { readonly sound: SoundPlan; readonly by: string; readonly leans: LikelyLeans } | undefined;
let known: KnownCourses = new Map();
/** Courses kept from text to text, some 0.7 MB each. */
const KNOWN_MAX = 64;

/** After so many ms no further shelf is begun: a question that is asked meanwhile waits no longer. */
export const MOST_MS = 50;

/**
 * What grows at the end of a day, drawn; at the rates that were measured where they were. Of the shelves
 * at least the first, then as many as `goOn` allows.
 */
export function drawnLeans(
  sound: SoundPlan,
  day: CivilDay,
  rates: readonly ZoneRate[],
  shelves: readonly number[],
  goOn: () => boolean,
): LeansAnswer {
  const by = JSON.stringify(rates);
  const { zones, batches } = sound.plan;
  const rateOf = (zone: number, batch: number): ZoneRate | undefined =>
    rates.find((one) => one.zone === itemAt(zones, zone).name && one.batch === itemAt(batches, batch).name);
  if (followed?.sound !== sound || followed.by !== by) {
    if (known.size > KNOWN_MAX) known = new Map();
    followed = { sound, by, leans: new LikelyLeans(sound, rateOf, known) };
  }
  const drawn: (readonly [number, readonly DrawnLean[]])[] = [];
  let done = 0;
  do {
    const shelf = shelves[done];
    if (shelf === undefined) break;
    drawn.push([shelf, followed.leans.on(day, shelf).map((lean, n) => drawnLean(sound, lean, n))]);
    done += 1;
  } while (goOn());
  return { leans: drawn, left: shelves.slice(done) };
}

function drawnLean({ plan }: SoundPlan, lean: LeanNow, n: number): DrawnLean {
  const name = `zone${lean.zones.length > 1 ? 's' : ''} ${list(lean.zones)}`;
  const bag = itemAt(plan.bags, lean.bag);
  return { ...lean, drawing: leanDrawing(bag, lean.shape, name, `lean-${lean.shelf}-${n}`).text };
}

/**
 * The likely lean as it stands when the harvest opens, drawn to scale: a figure
 * for each kind of growth, in the very drawing that the desk shows.
 *
 * Always holds: an estimate that says so; batches without a harvest are drawn
 * as of their last day.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { html, type Markup } from '../../page/html.ts';
import { leanDrawing } from '../../page/lean-drawing.ts';
import { list } from '../../words/lists.ts';
import { type LeanNow, LikelyLeans } from './lean-now.ts';

/** The figures; nothing where nothing grows. */
export function grownSection(sound: SoundPlan): Markup {
  const leans = new LikelyLeans(sound);
  const grown = sound.plan.batches.flatMap(({ name }, batch) => {
    const day = drawnDay(sound, batch);
    return leans.on(day).flatMap((lean) => (lean.batch === name ? [{ lean, day }] : []));
  });
  if (grown.length === 0) return html``;
  return html`<p>Drawn as it may stand when the harvest opens. Hatched: where all assumptions together leave room. The bar at the bag’s edge: from the lowest to the highest tip, a dot at the likely one. A crossed ring: the likely tip meets the film.</p>
<div>${grown.map(({ lean, day }, n) => figure(sound, lean, day, n))}</div>`;
}

function figure({ plan }: SoundPlan, lean: LeanNow, day: CivilDay, n: number): Markup {
  const words = `zone${lean.zones.length > 1 ? 's' : ''} ${list(lean.zones)}`;
  return html`<figure style="display:inline-block;max-width:100%;margin:0 1.2em 1em 0;break-inside:avoid">${leanDrawing(itemAt(plan.bags, lean.bag), lean.shape, words, `grown-${n}`)}
<figcaption class="soft">${words}, ${isoDate(day)}${lean.isTurned ? ', as the bags stood first' : ''}</figcaption></figure>`;
}

/** The day on which a batch's harvest opens, else its last. */
function drawnDay({ plan, timeline }: SoundPlan, batch: number): CivilDay {
  const harvests = timeline.visits.filter((visit) => visit.batch === batch && visit.kind === 'harvest');
  if (harvests.length > 0) return civilDay(Math.min(...harvests.map(({ day }) => day)));
  return civilDay(Math.max(...itemAt(plan.batches, batch).zones.map(({ free }) => free)) - 1);
}

/**
 * The light of the bags that are left: what the chosen blocks do to each zone
 * once bags were taken out.
 *
 * Always holds: the blocks stay as they are, since the controller runs them;
 * only figures change, of stages that were not over when the bag went.
 */

import { type LightField, lightField } from '../../../compiler/light/field.ts';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { Steered } from '../../../compiler/steer/choose.ts';
import { zoneFigures } from '../../../compiler/steer/figures.ts';
import type { Treatment } from '../../../compiler/steer/treatment.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { type BagLife, bagLives } from '../bags/lives.ts';
import { withoutBags } from '../book/culls.ts';
import type { Note } from '../book/note.ts';

/** Texts of the files that lamps name (photometric, spectra), by name. */
type Photometry = Readonly<Record<string, string>>;

/** The fields of a plan day by day: they change with the bags that stand there. */
export class FieldsLeft {
  private readonly plan: ResolvedPlan;
  private readonly lives: readonly BagLife[];
  private readonly photometry: Photometry;
  private readonly fields = new Map<string, LightField>();

  constructor(plan: ResolvedPlan, notes: readonly Note[], photometry: Photometry) {
    this.plan = plan;
    this.lives = bagLives(plan, notes);
    this.photometry = photometry;
  }

  /** The field of a day, and a key that is equal where the bags are. */
  on(day: CivilDay): { readonly field: LightField; readonly key: string } {
    const left = withoutBags(this.plan, this.lives, day);
    const key = left.zones.map((zone) => zone.places.map((place) => place.name).join()).join(';');
    const field = this.fields.get(key) ?? lightField(left, { photometry: this.photometry });
    this.fields.set(key, field);
    return { field, key };
  }
}

/** What the blocks do to the bags that are left at the end of each treatment. */
export function steeredForBagsLeft(
  plan: ResolvedPlan,
  steered: Steered,
  notes: readonly Note[],
  photometry: Photometry,
): Steered {
  if (!notes.some(({ kind }) => kind === 'cull' || kind === 'harvest' || kind === 'move')) return steered;
  const fields = new FieldsLeft(plan, notes, photometry);
  return { ...steered, treatments: steered.treatments.map((one) => treatmentLeft(plan, fields, one)) };
}

function treatmentLeft(plan: ResolvedPlan, fields: FieldsLeft, treatment: Treatment): Treatment {
  const { zone, lastDay, ask, burning, background } = treatment;
  const zoneField = fields.on(lastDay).field.zone(bagsOn(plan, lastDay), zone);
  if (!zoneField) return treatment;
  return { ...treatment, zoneField, figures: zoneFigures(zoneField, ask, burning, background) };
}

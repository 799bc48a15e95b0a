/**
 * What every zone gets in every stage, gathered while the outputs are chosen.
 *
 * Always holds: one entry for each zone, batch, stage, ask and set of figures, with the
 * days on which it happens; entries are in the order in which they first happen.
 */

import type { CivilDay } from '../../shared/units.ts';
import type { ZoneField } from '../light/field.ts';
import { isInStage, stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Unsettled } from '../solve/asked.ts';
import type { Ask } from '../solve/score.ts';
import type { Burning, Figures } from './figures.ts';

export interface Treatment {
  readonly zone: number;
  readonly batch: number;
  /** Index into the stages the batch spends in the zone. */
  readonly stage: number;
  readonly ask: Ask;
  readonly figures: Figures;
  readonly zoneField: ZoneField;
  /** What burns in the zone's cluster meanwhile, and the background entries that are on. */
  readonly burning: readonly Burning[];
  readonly background: readonly number[];
  /** By how much a better setting of what burns could beat it, where that was not settled. */
  readonly gap: Unsettled | undefined;
  /** Minutes of one occurrence. */
  readonly minutes: number;
  readonly firstDay: CivilDay;
  readonly lastDay: CivilDay;
  /** How often it happens. */
  readonly count: number;
}

/** When a treatment happens to a zone, in even minutes (`demand.ts`). */
export interface CourseStep {
  readonly from: number;
  readonly to: number;
  /** The day the photoperiod belongs to. */
  readonly day: CivilDay;
  /** Index into the treatments. */
  readonly treatment: number;
}

/** What a batch gets in a zone, in order of time. */
export interface Course {
  readonly zone: number;
  readonly batch: number;
  readonly steps: readonly CourseStep[];
}

/** What an occurrence must tell. */
type Occurrence = Omit<Treatment, 'stage' | 'firstDay' | 'lastDay' | 'count'>;

export class Treatments {
  private readonly plan: ResolvedPlan;
  private readonly keys = new Map<string, number>();
  private readonly found: Treatment[] = [];
  private readonly steps = new Map<string, Course & { steps: CourseStep[] }>();
  private readonly ids = new Map<Figures, number>();

  constructor(plan: ResolvedPlan) {
    this.plan = plan;
  }

  /** Notes that something happens from a time on; `day` is the day it belongs to. */
  add(occurrence: Occurrence, day: CivilDay, from: number): void {
    const { zone, batch, minutes } = occurrence;
    const stages = stayIn(this.plan, batch, zone)?.stages ?? [];
    const stage = stages.findIndex((one) => isInStage(one, day));
    const id = this.ids.get(occurrence.figures) ?? this.ids.size;
    this.ids.set(occurrence.figures, id);
    const key = `${batch} ${stage} ${id}`;
    const treatment = this.keys.get(key) ?? this.found.length;
    this.keys.set(key, treatment);
    const known = this.found[treatment];
    this.found[treatment] =
      known === undefined
        ? { ...occurrence, stage, firstDay: day, lastDay: day, count: 1 }
        : { ...known, lastDay: day, count: known.count + 1 };
    const course = this.steps.get(`${zone} ${batch}`) ?? { zone, batch, steps: [] };
    course.steps.push({ from, to: from + minutes, day, treatment });
    this.steps.set(`${zone} ${batch}`, course);
  }

  list(): Treatment[] {
    return this.found;
  }

  /** By zone, then batch. */
  courses(): Course[] {
    return [...this.steps.values()].sort((a, b) => a.zone - b.zone || a.batch - b.batch);
  }
}

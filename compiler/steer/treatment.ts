/**
 * What every zone gets in every stage, gathered while the outputs are chosen.
 *
 * Always holds: one entry for each zone, batch, stage, ask and set of figures, with the
 * days on which it happens; entries are in the order in which they first happen.
 */

import type { CivilDay } from '../../shared/units.ts';
import type { ZoneField } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/resolved.ts';
import type { Burning, Figures } from './figures.ts';
import type { Ask } from './score.ts';

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
  /** Minutes of one occurrence. */
  readonly minutes: number;
  readonly firstDay: CivilDay;
  readonly lastDay: CivilDay;
  /** How often it happens. */
  readonly count: number;
}

/** What an occurrence must tell. */
export type Occurrence = Omit<Treatment, 'stage' | 'firstDay' | 'lastDay' | 'count'>;

export class Treatments {
  private readonly plan: ResolvedPlan;
  private readonly found = new Map<string, Treatment>();
  private readonly ids = new Map<Figures, number>();

  constructor(plan: ResolvedPlan) {
    this.plan = plan;
  }

  /** Notes that something happens on a day. */
  add(occurrence: Occurrence, day: CivilDay): void {
    const stage = this.stageOn(occurrence.zone, occurrence.batch, day);
    const id = this.ids.get(occurrence.figures) ?? this.ids.size;
    this.ids.set(occurrence.figures, id);
    const key = `${occurrence.batch} ${stage} ${id}`;
    const known = this.found.get(key);
    this.found.set(
      key,
      known === undefined
        ? { ...occurrence, stage, firstDay: day, lastDay: day, count: 1 }
        : { ...known, lastDay: day, count: known.count + 1 },
    );
  }

  list(): Treatment[] {
    return [...this.found.values()];
  }

  private stageOn(zone: number, batch: number, day: CivilDay): number {
    const course = this.plan.batches[batch]!.zones.find((entry) => entry.zone === zone);
    const stages = course?.stages ?? [];
    return stages.findIndex(({ from, days }) => from <= day && day < from + days);
  }
}

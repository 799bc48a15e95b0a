/**
 * What a zone gets under given levels: lux at the growth, and the side it comes
 * from, by the plan's light field.
 *
 * Always holds: the lamps alone count, not the room's own light; a pattern is
 * worked out once.
 */

import { type LightField, lightField } from '../../compiler/light/field.ts';
import type { ResolvedPlan } from '../../compiler/plan/resolved.ts';
import { zoneFigures } from '../../compiler/steer/figures.ts';
import { occupancyOn, pullOn, pullWord } from '../simulate/zone-light.ts';

export interface ZoneLight {
  /** Level on the strongest side, mean over the zone's bags, lx. */
  readonly lux: number;
  /** `dark`, `upright`, or the side in words. */
  readonly from: string;
}

/** Levels of every controller (index as in the plan), eight bytes each. */
export type AllLevels = readonly Uint8Array[];

const FULL = 16;
const DARK: ZoneLight = { lux: 0, from: 'dark' };

/** The light of a plan's zones, worked out as asked. */
export class PlanLight {
  private readonly plan: ResolvedPlan;
  private readonly field: LightField;
  private readonly known = new Map<string, ZoneLight>();
  private readonly occupancies = new Map<number, ReturnType<typeof occupancyOn>>();

  constructor(plan: ResolvedPlan) {
    this.plan = plan;
    this.field = lightField(plan);
  }

  /** Controllers whose lamps reach a zone on a civil day. */
  controllers(zone: number, day: number): number[] {
    const field = this.field.zone(this.occupancy(day), zone);
    const reach = field?.reach.map((index) => this.field.outputs[index]!.controller) ?? [];
    return [...new Set(reach)];
  }

  /** The light in a zone on a civil day. */
  at(zone: number, day: number, levels: AllLevels): ZoneLight {
    const occupancy = this.occupancy(day);
    const key = `${zone}|${occupancy}|${levels.map((one) => Buffer.from(one).toString('hex'))}`;
    const known = this.known.get(key);
    if (known) return known;
    const light = this.workOut(zone, occupancy, levels);
    this.known.set(key, light);
    return light;
  }

  private workOut(zone: number, occupancy: ReturnType<typeof occupancyOn>, levels: AllLevels): ZoneLight {
    const field = this.field.zone(occupancy, zone);
    if (!field) return DARK;
    const burning = field.reach.flatMap((index) => {
      const { controller, number } = this.field.outputs[index]!;
      const level = Math.round(((levels[controller]?.[number - 1] ?? 0) * FULL) / 255);
      return level > 0 ? [[index, level] as const] : [];
    });
    if (burning.length === 0) return DARK;
    const { luxMinutes } = zoneFigures(field, { kind: 'dark' }, [{ minutes: 1, levels: burning }], []);
    return { lux: luxMinutes, from: pullWord(pullOn(this.field, occupancy, zone, levels)) };
  }

  private occupancy(day: number): ReturnType<typeof occupancyOn> {
    const known = this.occupancies.get(day) ?? occupancyOn(this.plan, day);
    this.occupancies.set(day, known);
    return known;
  }
}

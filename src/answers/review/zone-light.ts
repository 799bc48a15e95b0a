/**
 * What a zone gets under given levels: lux at the growth, and the side it comes
 * from, by the plan's light field.
 *
 * Always holds: the lamps alone count, not the room's own light; a pattern is
 * worked out once.
 */

import type { LightField } from '../../../compiler/light/field.ts';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { zoneFigures } from '../../../compiler/steer/figures.ts';
import { pullOn } from '../../../compiler/steer/pull.ts';
import { itemAt } from '../../../shared/assert.ts';
import { toHex } from '../../../shared/hex.ts';
import { civilDay } from '../../../shared/units.ts';
import { pullWord } from '../../words/sides.ts';
import type { Note } from '../book/note.ts';
import { FieldsLeft } from '../light/bags-left.ts';

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

type Occupancy = ReturnType<typeof bagsOn>;

/** The light of a plan's zones, worked out as asked; bags that were taken out no longer count. */
export class PlanLight {
  private readonly plan: ResolvedPlan;
  private readonly fields: FieldsLeft;
  private readonly days = new Map<number, { field: LightField; occupancy: Occupancy; key: string }>();
  private readonly known = new Map<string, ZoneLight>();

  constructor(plan: ResolvedPlan, notes: readonly Note[], photometry: Readonly<Record<string, string>>) {
    this.plan = plan;
    this.fields = new FieldsLeft(plan, notes, photometry);
  }

  /** Controllers whose lamps reach a zone on a civil day. */
  controllers(zone: number, day: number): number[] {
    const { field, occupancy } = this.on(day);
    const reach =
      field.zone(occupancy, zone)?.reach.map((index) => itemAt(field.outputs, index).controller) ?? [];
    return [...new Set(reach)];
  }

  /** The light in a zone on a civil day. */
  at(zone: number, day: number, levels: AllLevels): ZoneLight {
    const { field, occupancy, key } = this.on(day);
    const whole = `${zone}|${key}|${levels.map(toHex)}`;
    const known = this.known.get(whole) ?? workOut(field, zone, occupancy, levels);
    this.known.set(whole, known);
    return known;
  }

  /** The field of a day: it changes with the bags that stand there. */
  private on(day: number): { field: LightField; occupancy: Occupancy; key: string } {
    const known = this.days.get(day);
    if (known) return known;
    const occupancy = bagsOn(this.plan, day);
    const { field, key } = this.fields.on(civilDay(day));
    const made = { field, occupancy, key: `${occupancy}|${key}` };
    this.days.set(day, made);
    return made;
  }
}

function workOut(light: LightField, zone: number, occupancy: Occupancy, levels: AllLevels): ZoneLight {
  const field = light.zone(occupancy, zone);
  if (!field) return DARK;
  const burning = field.reach.flatMap((index) => {
    const { controller, number } = itemAt(light.outputs, index);
    const level = Math.round(((levels[controller]?.[number - 1] ?? 0) * FULL) / 255);
    return level > 0 ? [[index, level] as const] : [];
  });
  if (burning.length === 0) return DARK;
  const { luxMinutes } = zoneFigures(field, { kind: 'dark' }, [{ minutes: 1, levels: burning }], []);
  return { lux: luxMinutes, from: pullWord(pullOn(light, occupancy, zone, levels, [])) };
}

/**
 * The likely lean of everything that grows on a day: shape and figures.
 *
 * Always holds: an estimate, in the figures of the `light` command unless heights
 * were measured, which that does not know; zones whose
 * bags grow alike are told as one; plain data only, so that a worker can hand it on.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { leanCauses } from '../../../compiler/lean/estimate.ts';
import { type LeanCourse, type LeanShape, leanCourse } from '../../../compiler/lean/shape.ts';
import { batchOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedGrowth } from '../../../compiler/plan/plan.ts';
import type { Course } from '../../../compiler/steer/treatment.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';

/** What grows in some zones that are alike, at the end of a day. */
export interface LeanNow {
  /** Their names. */
  readonly zones: readonly string[];
  /** Indices of their shelf, and of their kind of bag. */
  readonly shelf: number;
  readonly bag: number;
  readonly batch: string;
  readonly firstDay: CivilDay;
  readonly shape: LeanShape;
  /** The side the first motion is drawn toward, degrees; undefined where all is upright. */
  readonly toward: number | undefined;
  /** The days of meeting the film: likely, and the earliest. */
  readonly filmDay: CivilDay | undefined;
  readonly filmEarliest: CivilDay | undefined;
  /** The bags are turned: all is as the bag sees it. */
  readonly isTurned: boolean;
  /** Growth by heights in the grow book, mm a day, where it was measured. */
  readonly measured: ResolvedGrowth['rate'] | undefined;
}

/** Growth in mm a day that was measured of a batch in a zone (indices), instead of the plan's; undefined where it was not. */
export type MeasuredRate = (zone: number, batch: number) => ResolvedGrowth['rate'] | undefined;

/** The likely leans of one plan; what grows alike is followed once and kept. */
export class LikelyLeans {
  private readonly sound: SoundPlan;
  private readonly rateOf: MeasuredRate;
  private readonly followed = new Map<string, LeanCourse | undefined>();
  private readonly keys = new Map<Course, string>();

  constructor(sound: SoundPlan, rateOf: MeasuredRate = () => undefined) {
    this.sound = sound;
    this.rateOf = rateOf;
  }

  /** What stands on the rack at the end of a day; zones that are never lit are left out. */
  on(day: CivilDay): LeanNow[] {
    const { plan, timeline } = this.sound;
    const found = new Map<string, LeanNow>();
    for (const course of timeline.steered.courses) {
      if (batchOn(plan, course.zone, day) !== course.batch) continue;
      const { name, shelf } = itemAt(plan.zones, course.zone);
      const key = `${shelf} ${course.batch} ${this.keyOf(course)}`;
      const alike = found.get(key);
      if (alike) found.set(key, { ...alike, zones: [...alike.zones, name] });
      else {
        const now = this.one(course, day);
        if (now) found.set(key, now);
      }
    }
    return [...found.values()];
  }

  private one(course: Course, day: CivilDay): LeanNow | undefined {
    const { plan } = this.sound;
    const lean = this.follow(course);
    if (!lean) return undefined;
    const shape = lean.on(day);
    const zone = itemAt(plan.zones, course.zone);
    const batch = itemAt(plan.batches, course.batch);
    const at = (filmDay: number | undefined): CivilDay | undefined =>
      filmDay === undefined ? undefined : civilDay(lean.firstDay + filmDay - 1);
    return {
      zones: [zone.name],
      shelf: zone.shelf,
      bag: batch.bag,
      batch: batch.name,
      firstDay: lean.firstDay,
      shape,
      toward: lean.toward,
      filmDay: at(lean.filmDay),
      filmEarliest: at(lean.filmEarliest),
      isTurned: lean.isTurned,
      measured: this.rateOf(course.zone, course.batch),
    };
  }

  private keyOf(course: Course): string {
    const known = this.keys.get(course);
    if (known !== undefined) return known;
    const { plan, timeline } = this.sound;
    const causes = leanCauses(plan, course, timeline.steered.treatments);
    const key = JSON.stringify([causes, this.rateOf(course.zone, course.batch)]);
    this.keys.set(course, key);
    return key;
  }

  private follow(course: Course): LeanCourse | undefined {
    const key = this.keyOf(course);
    if (this.followed.has(key)) return this.followed.get(key);
    const { plan, timeline } = this.sound;
    const rate = this.rateOf(course.zone, course.batch);
    const growth = rate && { ...plan.growth, rate };
    const made = leanCourse(plan, course, timeline.steered.treatments, growth);
    this.followed.set(key, made);
    return made;
  }
}

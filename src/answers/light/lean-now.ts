/**
 * The likely lean of everything that grows on a day: shape and figures.
 *
 * Always holds: an estimate, in the figures of the `light` command unless heights
 * were measured, which that does not know; zones whose
 * bags grow alike are told as one; plain data only, so that a worker can hand it on.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { type LeanCauses, leanCauses } from '../../../compiler/lean/estimate.ts';
import { followLean, type LeanCourse, type LeanShape } from '../../../compiler/lean/shape.ts';
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

/** Courses that were followed, for this plan or others, by all that they depend on but the day they begin on. */
export type KnownCourses = Map<string, LeanCourse>;

/** The likely leans of one plan; what grows alike is followed once and kept in `known`. */
export class LikelyLeans {
  private readonly sound: SoundPlan;
  private readonly rateOf: MeasuredRate;
  private readonly known: KnownCourses;
  private readonly kinds = new Map<Course, Kind | undefined>();

  constructor(sound: SoundPlan, rateOf: MeasuredRate = () => undefined, known: KnownCourses = new Map()) {
    this.sound = sound;
    this.rateOf = rateOf;
    this.known = known;
  }

  /** What stands on the rack, or on one of its shelves (index), at the end of a day; zones that are never lit are left out. */
  on(day: CivilDay, shelf?: number): LeanNow[] {
    const { plan, timeline } = this.sound;
    const found = new Map<string, LeanNow>();
    for (const course of timeline.steered.courses) {
      const zone = itemAt(plan.zones, course.zone);
      if (shelf !== undefined && zone.shelf !== shelf) continue;
      if (batchOn(plan, course.zone, day) !== course.batch) continue;
      const kind = this.kindOf(course);
      if (!kind) continue;
      const { firstDay, isTurned } = kind.causes;
      const alike = `${zone.shelf} ${course.batch} ${firstDay} ${isTurned} ${kind.key}`;
      const other = found.get(alike);
      found.set(
        alike,
        other ? { ...other, zones: [...other.zones, zone.name] } : this.one(course, kind, day),
      );
    }
    return [...found.values()];
  }

  private one(course: Course, kind: Kind, day: CivilDay): LeanNow {
    const { plan } = this.sound;
    const { firstDay, toward, isTurned } = kind.causes;
    const lean = this.follow(kind);
    const zone = itemAt(plan.zones, course.zone);
    const batch = itemAt(plan.batches, course.batch);
    const at = (filmDay: number | undefined): CivilDay | undefined =>
      filmDay === undefined ? undefined : civilDay(firstDay + filmDay - 1);
    return {
      ...{ zones: [zone.name], shelf: zone.shelf, bag: batch.bag, batch: batch.name, firstDay },
      // The course may have been followed for another first day.
      shape: lean.on(civilDay(day - firstDay + lean.firstDay)),
      toward,
      filmDay: at(lean.filmDay),
      filmEarliest: at(lean.filmEarliest),
      isTurned,
      measured: this.rateOf(course.zone, course.batch),
    };
  }

  private kindOf(course: Course): Kind | undefined {
    if (this.kinds.has(course)) return this.kinds.get(course);
    const { plan, timeline } = this.sound;
    const causes = leanCauses(plan, course, timeline.steered.treatments);
    const rate = this.rateOf(course.zone, course.batch);
    const growth = rate ? { ...plan.growth, rate } : plan.growth;
    const kind = causes && { causes, growth, key: keyOf(causes, growth) };
    this.kinds.set(course, kind);
    return kind;
  }

  private follow({ causes, growth, key }: Kind): LeanCourse {
    const made = this.known.get(key) ?? followLean(causes, growth);
    this.known.set(key, made);
    return made;
  }
}

/** Growth of one kind: where it comes from, and what tells it from others. */
interface Kind {
  readonly causes: LeanCauses;
  readonly growth: ResolvedGrowth;
  readonly key: string;
}

/** All that a course depends on, counted from its first day. */
const keyOf = ({ pulls, room, toward }: LeanCauses, growth: ResolvedGrowth): string =>
  JSON.stringify([pulls, room, toward, growth]);

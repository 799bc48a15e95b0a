/**
 * The likely lean of a batch in a zone, from what its bags get hour by hour.
 *
 * Always holds: an estimate; it starts with the stage named `climb` (else with the first
 * lit stage) and ends with the last; bags that are turned feel the lamp's side turn.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { CivilDay } from '../../shared/units.ts';
import { bagBoxes } from '../light/headspace.ts';
import { azimuthNormal } from '../light/trace.ts';
import { stageOn, stayIn } from '../plan/on-a-day.ts';
import type { ResolvedGrowth, ResolvedPlan, ResolvedStage } from '../plan/plan.ts';
import type { Course, CourseStep, Treatment } from '../steer/treatment.ts';
import {
  driftOf,
  type LikelyLean,
  likelyLean,
  type PullStep,
  type Room,
  sidePull,
  withoutFirst,
} from './likely-lean.ts';

/** The estimate and where it begins; undefined when the batch is never lit there. */
export interface LeanEstimate extends LikelyLean {
  readonly firstDay: CivilDay;
  /** The side the first motion begins with, degrees; undefined when all is upright. */
  readonly toward: number | undefined;
  /** For a swing between two sides: drift at the end of it, mm, as planned and with a first turn of half the length. */
  readonly swing: { readonly drift: number; readonly halved: number } | undefined;
}

/** Estimates already made for one plan, by all that they depend on: equal courses are followed once. */
export type KnownLeans = Map<string, Pick<LeanEstimate, keyof LikelyLean | 'swing'>>;

/** What the lean of one batch in one zone comes from. */
export interface LeanCauses {
  readonly firstDay: CivilDay;
  /** The side the first motion begins with, degrees; undefined when all is upright. */
  readonly toward: number | undefined;
  readonly pulls: readonly PullStep[];
  readonly room: Room;
  /** The stage with which growth begins. */
  readonly start: ResolvedStage;
  /** The bags are turned in place of the light: all is as the bag sees it. */
  readonly isTurned: boolean;
}

/** What makes the growth lean; undefined when the batch is never lit there. */
export function leanCauses(
  plan: ResolvedPlan,
  course: Course,
  treatments: readonly Treatment[],
): LeanCauses | undefined {
  const stages = stayIn(plan, course.batch, course.zone)?.stages ?? [];
  const first = stages.findIndex(({ name }) => name === 'climb');
  const begin = first >= 0 ? first : stages.findIndex(({ light }) => light !== undefined);
  const start = stages[begin];
  if (start === undefined) return undefined;
  const end = sure(stages.at(-1)).from + sure(stages.at(-1)).days;
  const leans = stages.slice(begin).map(({ lean }) => lean);
  const sided = leans.find(({ kind }) => kind === 'sides');
  const bag = itemAt(plan.bags, itemAt(plan.batches, course.batch).bag);
  const { headspace } = bagBoxes(bag, { name: '', x: bag.footprint[0], y: bag.footprint[1] }, 0);
  return {
    firstDay: start.from,
    toward: sided?.kind === 'sides' ? sided.sides[0] : undefined,
    pulls: pullsOf(course, treatments, stages, start.from, end),
    room: {
      halfX: bag.footprint[0] / 2,
      halfY: bag.footprint[1] / 2,
      height: (headspace.hi[2] - headspace.lo[2]) * 1000,
    },
    start,
    isTurned: leans.some((lean) => lean.kind === 'sides' && lean.by === 'turning'),
  };
}

/** Estimates the lean of one batch in one zone; `known` is kept from zone to zone of a plan. */
export function estimateLean(
  plan: ResolvedPlan,
  course: Course,
  treatments: readonly Treatment[],
  known: KnownLeans = new Map(),
): LeanEstimate | undefined {
  const causes = leanCauses(plan, course, treatments);
  if (causes === undefined) return undefined;
  const { firstDay, toward, pulls, room, start } = causes;
  const key = JSON.stringify([pulls, room, toward, start.lean, start.days]);
  const made = known.get(key) ?? {
    ...likelyLean(plan.growth, pulls, room, azimuthNormal(toward ?? 0)),
    swing: swingOf(plan.growth, pulls, room, start),
  };
  known.set(key, made);
  return { ...made, firstDay, toward };
}

/** What halving the first turn of a two-sided swing would do to the drift. */
function swingOf(
  growth: ResolvedGrowth,
  pulls: readonly PullStep[],
  room: Room,
  { lean, days }: ResolvedStage,
) {
  if (lean.kind !== 'sides' || lean.sides.length !== 2) return undefined;
  const toward = azimuthNormal(itemAt(lean.sides, 0));
  const turns = days - (days % (2 * lean.every));
  const drift = driftOf(growth, pulls, room, toward)[turns - 1];
  const halved = driftOf(growth, withoutFirst(pulls, lean.every / 2), room, toward)[turns - lean.every];
  return drift === undefined || halved === undefined ? undefined : { drift, halved };
}

/** The pull from the first day to the end, dark stretches included. */
function pullsOf(
  course: Course,
  treatments: readonly Treatment[],
  stages: readonly ResolvedStage[],
  from: number,
  end: number,
): PullStep[] {
  const pulls: PullStep[] = [];
  let time = from * 1440;
  for (const step of course.steps) {
    const begins = Math.max(step.from, time);
    if (step.to <= begins || begins >= end * 1440) continue;
    if (begins > time) pulls.push({ days: (begins - time) / 1440, pull: [0, 0] });
    pulls.push({
      days: (step.to - begins) / 1440,
      pull: pullOf(itemAt(treatments, step.treatment), step, stages),
    });
    time = step.to;
  }
  if (time < end * 1440) pulls.push({ days: end - time / 1440, pull: [0, 0] });
  return pulls;
}

function pullOf(
  { figures }: Treatment,
  { day }: CourseStep,
  stages: readonly ResolvedStage[],
): [number, number] {
  const [x, y] = figures.pull;
  const size = Math.sqrt(x * x + y * y);
  if (size === 0) return [0, 0];
  const strength = sidePull(figures.pullContrast, figures.level.low);
  const [nx, ny] = turnWithBag([x / size, y / size], day, stages);
  return [nx * strength, ny * strength];
}

/** The pull as the bag feels it: a bag turned by half feels the lamp on its other side. */
function turnWithBag(
  [x, y]: readonly [number, number],
  day: number,
  stages: readonly ResolvedStage[],
): readonly [number, number] {
  const stage = stageOn({ stages }, day);
  const lean = stage?.lean;
  if (stage === undefined || lean?.kind !== 'sides' || lean.by !== 'turning' || lean.lampSide === undefined) {
    return [x, y];
  }
  const own = itemAt(lean.sides, Math.floor((day - stage.from) / lean.every) % lean.sides.length);
  // Azimuths run clockwise: turning by a carries (sin b, cos b) to (sin(b+a), cos(b+a)).
  const [sine, cosine] = azimuthNormal(own - lean.lampSide);
  return [x * cosine + y * sine, y * cosine - x * sine];
}

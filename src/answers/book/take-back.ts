/**
 * What an entry of the grow book may have written into the plan, so that it goes
 * too when the entry is taken back.
 *
 * Always holds: nothing that other entries still stand for; whether it is in
 * the plan's text at all is asked of the text.
 */

import { stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import {
  type TakenOut,
  takeOutBegan,
  takeOutEnded,
  takeOutMovedTo,
} from '../../../compiler/write/take-back.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { refused } from '../../failure.ts';
import { type BagLife, type BagStay, bagLives } from '../bags/lives.ts';
import { stageBegun } from './began-entries.ts';
import type { Note, TakenBack } from './note.ts';

/** The entries that go with one: of two bags that changed places, both. */
export function goneWith(notes: readonly Note[], gone: Note): readonly Note[] {
  const { to, zone, position, day, writtenMs } = gone;
  const other = notes.find(
    (note) =>
      note.id !== gone.id &&
      note.to !== undefined &&
      note.day === day &&
      note.writtenMs === writtenMs &&
      note.zone === to?.zone &&
      note.position === to.position &&
      note.to.zone === zone &&
      note.to.position === position,
  );
  return other ? [gone, other] : [gone];
}

/** Refuses to take entries back where two bags would then stand in one place. */
export function refuseSharedPlace(plan: ResolvedPlan, notes: readonly Note[], gone: readonly Note[]): void {
  const had = new Set(sharedPlaces(bagLives(plan, notes)).map(({ words }) => words));
  const left = notes.filter((note) => !gone.includes(note));
  const shared = sharedPlaces(bagLives(plan, left)).find(({ words }) => !had.has(words));
  if (shared)
    throw refused(
      `Without it ${shared.words}.`,
      'Move one of them first, or take back the entry that brought it there.',
    );
}

/** Places in which two bags stand at once. */
function sharedPlaces(lives: readonly BagLife[]): { readonly words: string }[] {
  const byPlace = new Map<string, { readonly name: string; readonly stay: BagStay }[]>();
  const found: { words: string }[] = [];
  for (const { name, stays } of lives) {
    for (const stay of stays) {
      const there = byPlace.get(stay.place) ?? [];
      const other = there.find((one) => one.stay.from < stay.until && stay.from < one.stay.until);
      const from = other && isoDate(civilDay(Math.max(other.stay.from, stay.from)));
      if (other)
        found.push({ words: `${other.name} and ${name} would both stand in ${stay.place} from ${from} on` });
      byPlace.set(stay.place, [...there, { name, stay }]);
    }
  }
  return found;
}

/** A part of the plan that goes with an entry. */
export interface PlanPart {
  /** As it stands in the plan: `ended: { A: 2026-05-20 }`. */
  readonly words: string;
  readonly takeOut: (text: string) => TakenOut;
}

/**
 * The parts that an entry may have brought; `notes` are those that stand, the entry among them, and `takenBack` those
 * that were taken back before.
 */
export function planPartsOf(
  plan: ResolvedPlan,
  notes: readonly Note[],
  gone: Note,
  takenBack: readonly TakenBack[] = [],
): PlanPart[] {
  const batch = plan.batches.findIndex(({ name }) => name === gone.batch);
  if (batch < 0) return [];
  if (gone.kind === 'began')
    return gone.bag === ''
      ? [begun(plan, batch, gone, begunBefore(plan, batch, gone, notes, takenBack))]
      : [];
  if (!leaves(gone)) return [];
  return [
    ...ended(plan, batch, gone, notes, takenBack),
    ...(gone.kind === 'move' ? moved(plan, batch, notes, gone) : []),
  ];
}

function begun(
  plan: ResolvedPlan,
  batch: number,
  { batch: name, stage = '', day }: Note,
  before: CivilDay | undefined,
): PlanPart {
  const known = stageBegun({ plan }, batch, stage);
  return {
    words: `began: { ${known ?? stage}: ${isoDate(day)} }`,
    takeOut: (text) => takeOutBegan(text, name, known, day, before),
  };
}

/** The day that the plan had for the stage of an entry before. */
function begunBefore(
  plan: ResolvedPlan,
  batch: number,
  gone: Note,
  notes: readonly Note[],
  takenBack: readonly TakenBack[],
): CivilDay | undefined {
  const stageOf = ({ stage = '' }: Note): string | undefined => stageBegun({ plan }, batch, stage);
  /** A sign whose stage was named may be of any. */
  const gaveDay = (note: Note, later: Note): boolean => {
    const isBatch = note.kind === 'began' && note.bag === '' && note.batch === later.batch;
    const [one = '', other = one] = [stageOf(note) ?? stageOf(later), stageOf(later)];
    return isBatch && one === other;
  };
  return dayBefore(gone, notes, takenBack, gaveDay);
}

/**
 * The day that the plan gets back: the one that it had before an entry. Where that stood for an entry that was taken
 * back since, the one before that. `gaveDay`: whether a note gives the plan its day at the place where `later` did.
 */
function dayBefore(
  gone: Note,
  notes: readonly Note[],
  takenBack: readonly TakenBack[],
  gaveDay: (note: Note, later: Note) => boolean,
): CivilDay | undefined {
  /** Whether an entry gave the plan the day that `later` found there. */
  const gave = (note: Note, later: Note): boolean =>
    note.day === later.before && note.writtenMs < later.writtenMs && gaveDay(note, later);
  let at = gone;
  for (;;) {
    const later = at;
    const stands = notes.some((note) => gave(note, later));
    // What was taken back before the later one was written had left the plan: the day was the grower's own.
    const cause = takenBack.find(
      ({ note, takenBackMs }) => takenBackMs >= later.writtenMs && gave(note, later),
    );
    if (stands || !cause) return later.before;
    at = cause.note;
  }
}

/** Whether a bag left its zone with an entry. */
const leaves = ({ kind, massG }: Note): boolean =>
  kind === 'move' || kind === 'cull' || (kind === 'harvest' && massG !== undefined);

/** The bag's zone ended with the last bag that went out of it; now there is one again. */
function ended(
  plan: ResolvedPlan,
  batch: number,
  gone: Note,
  notes: readonly Note[],
  takenBack: readonly TakenBack[],
): PlanPart[] {
  const zone = plan.zones.findIndex(({ name }) => name === gone.zone);
  const stays = bagLives(plan, notes).flatMap((life) =>
    life.batch === batch ? life.stays.filter((stay) => stay.zone === zone) : [],
  );
  if (stays.length === 0) return [];
  const day = civilDay(Math.max(...stays.map(({ until }) => until)));
  const others = itemAt(plan.batches, batch).zones.filter(
    (stay) => stay.zone !== zone && stay.isEnded && stay.free === day,
  );
  const still = others.map((stay) => itemAt(plan.zones, stay.zone).name);
  // The end was written with the last bag that left the zone, whichever of them is taken back now.
  const leftHere = (note: Note): boolean =>
    leaves(note) && note.batch === gone.batch && note.zone === gone.zone;
  const last = notes
    .filter(leftHere)
    .reduce((one, other) => (other.writtenMs > one.writtenMs ? other : one), gone);
  const before = dayBefore(
    last,
    notes.filter(({ id }) => id !== gone.id),
    [...takenBack, { note: gone, takenBackMs: Number.POSITIVE_INFINITY }],
    leftHere,
  );
  return [
    {
      words: `ended: { ${gone.zone}: ${isoDate(day)} }`,
      takeOut: (text) => takeOutEnded(text, gone.batch, gone.zone, { gone: still, day, before }),
    },
  ];
}

/** Its batch came into the zone with it, unless other bags of the batch stand, or stood, there too. */
function moved(
  plan: ResolvedPlan,
  batch: number,
  notes: readonly Note[],
  { id, batch: name, to, day }: Note,
): PlanPart[] {
  const zone = plan.zones.findIndex((one) => one.name === to?.zone);
  if (!to || stayIn(plan, batch, zone)?.isMovedTo !== true) return [];
  const lives = bagLives(
    plan,
    notes.filter((note) => note.id !== id),
  );
  const isShared = lives.some(
    (life) => life.batch === batch && life.stays.some((stay) => stay.zone === zone),
  );
  if (isShared) return [];
  return [
    {
      words: `zones: […, ${to.zone}], enters: { ${to.zone}: ${isoDate(day)} }`,
      takeOut: (text) => takeOutMovedTo(text, name, to.zone, day),
    },
  ];
}

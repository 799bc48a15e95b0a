/**
 * New entries of the grow book, each held against what is known of its bag.
 *
 * Always holds: what cannot be true is refused with a sentence, and no entry
 * comes of it.
 */

import { stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { refused, usage } from '../../failure.ts';
import { type BagLife, lastPlace } from '../bags/lives.ts';
import { refuseTallerThanBag } from './height-told.ts';
import type { Note, NoteKind, Observations } from './note.ts';

/** What every new entry needs. */
export interface Writing {
  readonly plan: ResolvedPlan;
  /** The plan's name in the archive. */
  readonly name: string;
  readonly day: CivilDay;
  readonly nowMs: number;
  /** A new unique id each time. */
  readonly newId: () => string;
}

/** The part of an entry that says what it is about. */
export function entryAbout(writing: Writing, life: BagLife, kind: NoteKind): Note {
  const { plan, name, day, nowMs, newId } = writing;
  const stay = lastPlace(life, day);
  const own = stay && stayIn(plan, life.batch, stay.zone);
  const leaves = kind === 'harvest' || kind === 'cull' || kind === 'move';
  return {
    ...{ id: newId(), plan: name, batch: itemAt(plan.batches, life.batch).name, bag: life.name },
    ...{ number: life.number, day, writtenMs: nowMs, kind, why: undefined },
    zone: stay === undefined ? '' : itemAt(plan.zones, stay.zone).name,
    position: stay?.position,
    before: leaves && own?.isEnded ? own.free : undefined,
  };
}

/** Refuses an entry about a day before the bag was sealed. */
export function refuseBeforeSealing({ day }: Writing, life: BagLife): void {
  if (day >= life.sealed) return;
  throw refused(
    `${life.name} was sealed on ${isoDate(life.sealed)}, after ${isoDate(day)}.`,
    'Check the day, or `sealed` in the plan.',
  );
}

/** Refuses what only a bag on the rack can do: one that is out, or whose later days are in the book already. */
export function refuseUnlessIn(writing: Writing, life: BagLife): void {
  refuseBeforeSealing(writing, life);
  if (life.out) throw refused(`${life.name} ${outWords(life)}.`, takeBackHint(life));
  const later = life.notes.find(({ kind, day }) => kind === 'move' && day > writing.day);
  if (later) {
    throw refused(
      `${life.name} was moved on ${isoDate(later.day)}, after ${isoDate(writing.day)}.`,
      'Check the day.',
    );
  }
}

/** Refuses what was seen of a bag on a day after it was out; what was seen before may be written down later. */
export function refuseUnlessStood(writing: Writing, life: BagLife): void {
  refuseBeforeSealing(writing, life);
  if (life.out && life.out.day < writing.day)
    throw refused(`${life.name} ${outWords(life)}.`, takeBackHint(life));
}

/** `was culled on 2026-04-20 (mould)`. */
export function outWords({ out }: BagLife): string {
  if (!out) return 'stands on the rack';
  const date = isoDate(out.day);
  return out.kind === 'cull' ? `was culled on ${date} (${out.why ?? 'other'})` : `was harvested on ${date}`;
}

function takeBackHint({ notes, out }: BagLife): string {
  const entry = notes.find(({ kind }) => kind === out?.kind);
  return `If that is wrong, take it back: note PLAN --withdraw ${entry?.id.slice(0, 8) ?? 'ID'}.`;
}

/** A cull. */
export function cullEntry(writing: Writing, life: BagLife, why: string, text: string | undefined): Note {
  refuseUnlessIn(writing, life);
  return { ...entryAbout(writing, life, 'cull'), why, text };
}

/** What was seen of a whole batch (its name), or of the whole rack (''). */
export function wholeEntry(
  { name, day, nowMs, newId }: Writing,
  batch: string,
  observed: Observations,
): Note {
  if ((observed.heightMm ?? observed.leanDeg ?? observed.massG) !== undefined) {
    throw usage('A height, a lean or a mass is of one bag.', 'Name the bag first.');
  }
  return {
    ...{ id: newId(), plan: name, batch, zone: '', bag: '', day, writtenMs: nowMs },
    ...{ kind: 'note', why: undefined, ...observed },
  };
}

/** What was measured or seen of a bag. One that was culled before that day has nothing left to measure. */
export function noteEntry(writing: Writing, life: BagLife, observed: Observations): Note {
  refuseBeforeSealing(writing, life);
  const measured = observed.heightMm ?? observed.leanDeg ?? observed.massG;
  const { out, name } = life;
  if (out && out.day < writing.day && measured !== undefined && out.kind === 'cull') {
    throw refused(`${name} was culled on ${isoDate(out.day)}: there is nothing left to measure.`);
  }
  refuseTallerThanBag(writing.plan, life, observed.heightMm);
  return { ...entryAbout(writing, life, 'note'), ...observed };
}

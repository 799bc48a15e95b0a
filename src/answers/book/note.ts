/**
 * The grow book: what the grower did, measured and saw, one entry each, with its day.
 *
 * Always holds: an entry is never changed or deleted; a wrong one is withdrawn by another that
 * names it, and both stay.
 */

import type { CivilDay } from '../../../shared/units.ts';
import type { MadeStep, SealedLot } from './sealed.ts';

export const CULL_REASONS = ['mould', 'leak', 'dry', 'stalled', 'other'] as const;

export type CullReason = (typeof CULL_REASONS)[number];

/**
 * `note` what was measured or seen; `cull` and `harvest` a bag is out; `move` it stands elsewhere; `began` a stage
 * was seen to begin, of a bag or (without `number`) of its batch; `made` a step of making a lot; `sealed` what a
 * batch was when it was sealed.
 */
export const NOTE_KINDS = ['note', 'cull', 'harvest', 'move', 'began', 'made', 'sealed'] as const;

export type NoteKind = (typeof NOTE_KINDS)[number];

/** What a note is about. */
export interface NotePlace {
  /** The plan's name (its file name without endings). */
  readonly plan: string;
  /** Empty of the whole rack. */
  readonly batch: string;
  /** The zone that the bag stood in; empty of a whole batch. */
  readonly zone: string;
  /** The bag's name; of entries made before bags had numbers, its place (`A2`); empty of a whole batch. */
  readonly bag: string;
  /** The bag's number in its batch; undefined of a whole batch and of entries made before bags had numbers. */
  readonly number?: number | undefined;
  /** Its position in the zone, where known. */
  readonly position?: number | undefined;
}

/** What was found; every field may be left out. */
export interface Observations {
  readonly heightMm?: number | undefined;
  /** Lean from the vertical, degrees. */
  readonly leanDeg?: number | undefined;
  /** The side it leans to, azimuth in degrees. */
  readonly leanSideDeg?: number | undefined;
  /** The photo's name in the folder beside the archive. */
  readonly photo?: string | undefined;
  /** Of a harvest, the fresh mass; where bags were weighed together, this bag's share. */
  readonly massG?: number | undefined;
  readonly dryG?: number | undefined;
  readonly text?: string | undefined;
}

export interface Note extends NotePlace, Observations {
  readonly id: string;
  readonly day: CivilDay;
  readonly writtenMs: number;
  readonly kind: NoteKind;
  /** Why it was taken out, of a cull. */
  readonly why: string | undefined;
  /** Bags weighed together, of which a harvest has an equal share. */
  readonly together?: number | undefined;
  /** Where a bag was moved to. */
  readonly to?: { readonly zone: string; readonly position: number } | undefined;
  /** The stage (or sign) that began, or the step that was made. */
  readonly stage?: string | undefined;
  /** The day that the plan had before: for the stage of a batch that began, or for the end of the zone that a bag left. */
  readonly before?: CivilDay | undefined;
  readonly made?: MadeStep | undefined;
  readonly sealed?: SealedLot | undefined;
}

/** An entry that was taken back, and when. */
export interface TakenBack {
  readonly note: Note;
  readonly takenBackMs: number;
}

/**
 * The grow book: what the grower measured, saw and took out.
 *
 * Always holds: a note is never changed or deleted; a wrong one is withdrawn by another that
 * names it, and both stay.
 */

import type { CivilDay } from '../../../shared/units.ts';

export const CULL_REASONS = ['mould', 'leak', 'dry', 'stalled', 'other'] as const;

export type CullReason = (typeof CULL_REASONS)[number];

/** What a note is about. */
export interface NotePlace {
  /** The plan's name (its file name without endings). */
  readonly plan: string;
  readonly batch: string;
  readonly zone: string;
  readonly bag: string;
}

/** What was found; every field may be left out. */
export interface Observations {
  readonly heightMm?: number | undefined;
  /** Lean from the vertical, degrees. */
  readonly leanDeg?: number | undefined;
  readonly photo?: string | undefined;
  readonly massG?: number | undefined;
  readonly text?: string | undefined;
}

export interface Note extends NotePlace, Observations {
  readonly id: string;
  readonly day: CivilDay;
  readonly writtenMs: number;
  readonly kind: 'note' | 'cull';
  /** Why it was taken out, of a cull. */
  readonly why: string | undefined;
}

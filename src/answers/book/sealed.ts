/**
 * What the book keeps of a lot: the steps of making it, what a batch was when it
 * was sealed (which bags stood where, and the bag sheet in the words it had), and
 * the day that the plan had for a stage before it was seen to begin.
 *
 * Always holds: read back, it is what was kept, whatever the plan says since.
 */

import { z } from 'zod';
import { dayFromIso } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';

const words = z.object({
  heading: z.string(),
  /** What to weigh out, for one bag, for all; the first row is the head. */
  rows: z.array(z.tuple([z.string(), z.string(), z.string()])),
  height: z.string(),
  remarks: z.array(z.object({ kind: z.enum(['fits', 'look', 'wrong']), text: z.string() })),
});

const sealed = z.object({
  /** Zones in the order in which the bags are numbered through them. */
  roster: z.array(z.object({ zone: z.string(), bags: z.int().min(0) })),
  sheet: z.object({
    /** Of one bag, kilograms. */
    wetKg: z.number(),
    dryKg: z.number(),
    spawnKg: z.number().optional(),
    /** The sheet's figures as `prep --json` gave them. */
    figures: z.record(z.string(), z.unknown()),
    metric: words,
    us: words,
  }),
});

/** A bag sheet in the words it had. */
export type SheetWords = Readonly<z.infer<typeof words>>;

/** One batch's part of the sheet. */
export interface SheetPart {
  readonly words: SheetWords;
  /** What the book says of mixing, sterilising, cooling and inoculating. */
  readonly steps: readonly string[];
  /** As JSON. */
  readonly figures: Readonly<Record<string, unknown>>;
  /** Since when it no longer changes; undefined: it still does. */
  readonly kept: string | undefined;
}

/** What is kept of a batch that was sealed. */
export type SealedLot = Readonly<z.infer<typeof sealed>>;

/** A step of making a lot, in civil minutes of the day; one that ends before it began ended on the day after. */
const made = z.object({
  from: z.int().min(0).max(1439).optional(),
  until: z.int().min(0).max(1439).optional(),
  /** How much at once, as the grower says it: `24 bags`. */
  load: z.string().optional(),
});

export type MadeStep = Readonly<z.infer<typeof made>>;

/** A step as it was kept; undefined when the value is none. */
export function madeFrom(value: unknown): MadeStep | undefined {
  const read = made.safeParse(value);
  return read.success ? read.data : undefined;
}

const planHad = z.object({ before: z.string() });

/** The day that the plan had before for a stage or for a zone's end; undefined when the value is none. */
export function planDayBefore(value: unknown): CivilDay | undefined {
  const read = planHad.safeParse(value);
  return read.success ? dayFromIso(read.data.before) : undefined;
}

/** What was kept; undefined when the text is none of ours. */
export function sealedFrom(value: unknown): SealedLot | undefined {
  const read = sealed.safeParse(value);
  return read.success ? read.data : undefined;
}

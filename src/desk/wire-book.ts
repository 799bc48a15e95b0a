/**
 * What the desk's page and its server say to each other of visits, of the grow
 * book and of the review.
 *
 * Always holds: words are those that the commands say; a press carries what was
 * written as it was written, and is refused by the same rules.
 */

import type { LivedWeeks } from '../answers/review/lived.ts';

/** A visit of today, or one that is overdue. */
export interface EveningVisit {
  readonly words: string;
  readonly lookFor: string;
  /** What `visits --done` takes: a zone, or a batch whose bags are not on the rack yet. */
  readonly place: string;
  readonly kind: string;
  readonly isDone: boolean;
  readonly isOverdue: boolean;
}

/** An entry of the grow book. */
export interface BookEntry {
  readonly id: string;
  /** ISO date. */
  readonly day: string;
  readonly words: string;
  /** The photo's name. */
  readonly photo: string | undefined;
}

/** A bag with its history. */
export interface EveningBag {
  readonly name: string;
  /** Where it stands today; undefined when it is not on the rack. */
  readonly place: string | undefined;
  readonly stood: string;
  readonly seen: string;
  readonly out: string;
  readonly fresh: string;
  readonly dry: string;
  readonly entries: readonly BookEntry[];
}

export interface EveningBatch {
  readonly name: string;
  readonly bags: readonly EveningBag[];
  /** Entries about the whole batch. */
  readonly entries: readonly BookEntry[];
  /** What may be seen to begin: signs and stages. */
  readonly begins: readonly string[];
}

/** How the plan would change, or was changed. */
export interface PlanLines {
  readonly words: string;
  /** `-` as they were, `+` as they are. */
  readonly lines: readonly string[];
}

/** What the evening pane shows. */
export interface Evening {
  /** ISO date, and in words. */
  readonly today: string;
  readonly todayWords: string;
  /** It is the last day of a virtual controller. */
  readonly isPractice: boolean;
  /** The archive's file, and whether it was made yet. */
  readonly archive: string;
  readonly isArchiveThere: boolean;
  readonly visits: readonly EveningVisit[];
  readonly cautions: readonly string[];
  /** The days that are looked ahead, and their work. */
  readonly days: number;
  readonly coming: readonly string[];
  readonly notKept: string | undefined;
  /** Where the controllers stand. */
  readonly standing: readonly string[];
  readonly batches: readonly EveningBatch[];
  /** Notes on the whole rack. */
  readonly rackEntries: readonly BookEntry[];
  readonly zones: readonly string[];
  readonly reasons: readonly string[];
  /** How measures are written, in her units. */
  readonly examples: { readonly height: string; readonly lean: string; readonly mass: string };
  /** What has no bag left, and how the plan would end it. */
  readonly mayEnd: PlanLines | undefined;
}

/** Every text that a press may carry; what is empty was not given. */
// biome-ignore format: a list of words.
export const PRESS_TEXTS = [
  'act', 'place', 'kind', 'bags', 'day', 'height', 'lean', 'mass', 'text', 'photo', 'photoName',
  'fresh', 'dry', 'together', 'why', 'to', 'swap', 'what', 'id',
] as const;

export type PressText = (typeof PRESS_TEXTS)[number];

/** A press: `act` says what is done, the other texts with what. A photo is in base64. */
export type Press = Readonly<Record<PressText, string>>;

export const PRESS_ACTS = [
  'done',
  'undo',
  'note',
  'harvest',
  'cull',
  'move',
  'began',
  'takeBack',
  'end',
] as const;

export type PressAct = (typeof PRESS_ACTS)[number];

/** What came of a press, in the words of the commands. */
export interface Pressed {
  readonly said: readonly string[];
  /** How the plan was changed. */
  readonly changed: PlanLines | undefined;
  /** The id of the entry that takes back all of it; empty where there is none. */
  readonly entry: string;
}

/** What the review pane shows: markup of ours, or why there is none. */
export type ReviewAnswer =
  | { readonly isThere: true; readonly markup: string; readonly lots: readonly string[] }
  | { readonly isThere: false; readonly words: string };

/** What really happened to a plan; undefined where no archive tells of it. */
export interface Lived {
  readonly weeks: LivedWeeks | undefined;
  /** It happened to a virtual controller. */
  readonly practice: boolean;
}

/** Most bytes of a photo. */
export const PHOTO_BYTES_MAX = 20 * 1_048_576;
/** Most bytes of a press: a photo in base64, and words. */
export const PRESS_BYTES_MAX = (PHOTO_BYTES_MAX / 3) * 4 + 1_048_576;

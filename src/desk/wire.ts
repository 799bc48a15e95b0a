/**
 * What the desk's page and its server say to each other, as JSON.
 *
 * Always holds: a text travels whole. Of each plan there is one text, that of
 * the file or what was typed on from it, and a number that goes up whenever
 * that text changes; who hands over a text says which number it follows. Each
 * window numbers what it hands over, so that it can ask later whether that
 * arrived. A mark tells which bytes of a file a text was read from.
 */

/** One plan of the folder. */
export interface PlanName {
  readonly name: string;
  /** Whether there is text that was not saved. */
  readonly unsaved: boolean;
}

/** What the page asks for first. */
export interface Desk {
  readonly folder: string;
  readonly plans: readonly PlanName[];
  /** The plan that was named on the command line. */
  readonly opened: string | undefined;
}

/** A text that was typed and not saved. */
export interface Unsaved {
  readonly text: string;
  /** Mark of the file it began from. */
  readonly base: string;
}

/** How far the plan's text has come. */
export interface TextCount {
  readonly count: number;
  /** The last text of the asking window that became the plan's, by its number; 0 for none. */
  readonly yours: number;
}

/** A plan as it stands. */
export interface OpenedPlan extends TextCount {
  readonly text: string;
  /** SHA-256 of the file's bytes; empty when there is no file yet. */
  readonly mark: string;
  readonly unsaved: Unsaved | undefined;
}

/** A text that a window hands over. */
export interface HandedText {
  readonly text: string;
  /** The number of the plan's text that it follows. */
  readonly count: number;
  readonly window: string;
  /** The window's own number for it, from 1. */
  readonly number: number;
}

/** The plan's text is another meanwhile: nothing was done. */
export interface Overtaken extends TextCount {
  readonly follows: false;
  readonly text: string;
}

/** The text that was handed over is the plan's now. */
export interface Followed extends TextCount {
  readonly follows: true;
}

/** The answer to a text that was to be kept. */
export type KeptText = Followed | Overtaken;

/**
 * The answer to a text that was to be saved: the new mark; or what stands in
 * the file, which is neither what the text began from nor what was to be written over.
 */
export type Saved =
  | Overtaken
  | (Followed & { readonly saved: true; readonly mark: string })
  | (Followed & { readonly saved: false; readonly file: { readonly text: string; readonly mark: string } });

/** What the server tells unasked. */
export type DeskNews =
  | {
      readonly kind: 'unsaved';
      readonly name: string;
      readonly text: string;
      readonly count: number;
      readonly window: string;
    }
  | { readonly kind: 'file'; readonly name: string; readonly mark: string }
  | { readonly kind: 'folder' }
  | { readonly kind: 'lamp-file'; readonly file: string }
  | { readonly kind: 'job'; readonly job: JobView }
  /** Something was written into a plan's archive: the grow book, an answer to a visit, a log. */
  | { readonly kind: 'book'; readonly name: string };

/** Most bytes the server takes at once: a plan may have 1 MiB, and JSON writes some characters as six. */
export const BODY_BYTES_MAX = 8 * 1_048_576;
/** Most bytes of a plan, as the compiler has it. */
export const PLAN_BYTES_MAX = 1_048_576;

/** What can be done with a controller: look at it and its log, flash it, light its lamps in turn. */
export const JOB_KINDS = ['look', 'flash', 'lamps'] as const;
export type JobKind = (typeof JOB_KINDS)[number];

/** What a page asks to be done; all texts, `''` where there is nothing to say. */
export const JOB_TEXTS = [
  ...(['kind', 'port', 'plan', 'mark', 'controller', 'unit', 'at', 'advance', 'event'] as const),
  ...(['flags', 'window'] as const),
] as const;
export type JobAsked = Readonly<Record<(typeof JOB_TEXTS)[number], string>>;

/** A line that a command would print: of its result, or beside it. */
export interface JobLine {
  readonly of: 'say' | 'remark';
  readonly words: string;
}

/** The work at one port, under way or ended. */
export interface JobView {
  readonly id: number;
  readonly kind: JobKind;
  readonly port: string;
  readonly plan: string;
  readonly lines: readonly JobLine[];
  readonly progress?: { readonly title: string; readonly part: number } | undefined;
  /** What is asked, to be answered with yes or no. */
  readonly question?: { readonly number: number; readonly words: string } | undefined;
  /** What the controller does, by headings. */
  readonly status?: readonly (readonly [heading: string, words: string])[] | undefined;
  /** Undefined while it goes on; a fault in the words of the command. */
  readonly ended?: { readonly fault?: string | undefined } | undefined;
}

/** What a controller can be reached by, and the work at each. */
export interface Boards {
  readonly ports: readonly { readonly path: string; readonly title: string; readonly likely: boolean }[];
  /** Ports of the virtual controllers that are kept in the folder. */
  readonly virtual: readonly string[];
  readonly jobs: readonly JobView[];
}

/**
 * What the desk's page and its server say to each other, as JSON.
 *
 * Always holds: a text travels whole; a mark tells which bytes of a file it
 * was read from, a number which of the unsaved texts it follows.
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

/** A plan as it stands. */
export interface OpenedPlan {
  readonly text: string;
  /** SHA-256 of the file's bytes; empty when there is no file yet. */
  readonly mark: string;
  readonly unsaved: Unsaved | undefined;
  /** Number of the unsaved text; each change counts one. */
  readonly count: number;
}

/** The page's answer of a save: the new mark, or what stands in the file instead. */
export type Saved =
  | { readonly saved: true; readonly mark: string; readonly count: number }
  | { readonly saved: false; readonly text: string; readonly mark: string };

/** The answer to a kept text: its number, or the text another window kept meanwhile. */
export type KeptText =
  | { readonly kept: true; readonly count: number }
  | { readonly kept: false; readonly text: string; readonly count: number };

/** What the server tells unasked. */
export type DeskNews =
  | {
      readonly kind: 'unsaved';
      readonly name: string;
      readonly text: string;
      readonly count: number;
      readonly window: string;
    }
  | { readonly kind: 'file'; readonly name: string; readonly mark: string; readonly count: number }
  | { readonly kind: 'folder' }
  | { readonly kind: 'job'; readonly job: JobView };

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

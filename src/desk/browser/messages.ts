/**
 * What the page asks its worker, and what that answers.
 *
 * Always holds: plain data; an answer belongs to the question of its number.
 */

import type { Severity } from '../../../compiler/findings/codes.ts';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import type { Edit } from '../../../compiler/read/edits.ts';
import type { Movable } from '../../../compiler/write/move.ts';
import type { StarterOptions } from '../../../compiler/write/starter.ts';
import type { VisitKind } from '../../../shared/table.ts';
import type { CivilDay } from '../../../shared/units.ts';
import type { Fix } from '../../answers/check/fixes.ts';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import type { LeanNow } from '../../answers/light/lean-now.ts';
import type { LevelMap } from '../../answers/light/level-map.ts';
import type { RackMoment } from '../../answers/light/moment.ts';
import type { LivedWeeks } from '../../answers/review/lived.ts';
import type { Going } from './anchor.ts';

/** A finding as it is shown: the words are those of `check`. */
export interface ToldFinding {
  readonly code: string;
  readonly severity: Severity;
  readonly title: string;
  readonly message: string;
  readonly suggestion: string | undefined;
  /** Offsets in the text; both 0 for the plan as a whole. */
  readonly from: number;
  readonly to: number;
  readonly second: { readonly from: number; readonly words: string } | undefined;
  readonly fix: Fix | undefined;
  /** Where else it is, a line each; undefined: it is told with another of its kind. */
  readonly alike: readonly string[] | undefined;
}

/** What compiling finds and makes, and the light of it. */
export interface CheckAnswer {
  readonly findings: readonly ToldFinding[];
  /** Names of the lamps' files (photometric, spectra) that the plan asks for. */
  readonly lampFiles: readonly string[];
  /** Undefined where the plan has errors. */
  readonly plan: ResolvedPlan | undefined;
  /** First day and the day after the last; undefined without a batch. */
  readonly days: { readonly first: CivilDay; readonly end: CivilDay } | undefined;
  /** One line a controller on its table. */
  readonly tables: readonly string[];
  /** The rack where the hand was, or where it comes to inside the grow; undefined without a batch. */
  readonly light: { readonly at: At; readonly moment: RackMoment } | undefined;
}

export interface At {
  readonly day: CivilDay;
  readonly minute: number;
}

/** A move that is being tried: the plan and its light, should it be let go here. */
export interface TrialAnswer {
  readonly plan: ResolvedPlan | undefined;
  /** The shelf (index) on which it is, the only one whose light is worked out anew; undefined without a plan. */
  readonly shelf: number | undefined;
  readonly moment: RackMoment | undefined;
  readonly findings: readonly ToldFinding[];
}

/** The grow on the simulated controllers, with what was made to happen. */
export interface WeeksAnswer {
  /** The drawing's markup; its days run from `first` over `count`. */
  readonly drawing: string;
  /** Where the first day begins and how wide a day is, of the drawing's width. */
  readonly start: number;
  readonly dayWidth: number;
  /** Zone (name), kind and day of every visit, with its key. */
  readonly visits: readonly {
    readonly key: string;
    readonly zone: string;
    readonly kind: VisitKind;
    readonly day: CivilDay;
  }[];
  /** What becomes of the visits that are to be missed. */
  readonly missed: readonly { readonly key: string; readonly words: string }[];
  readonly first: CivilDay;
  readonly count: number;
  /** The days on which a zone gets, or got, other light than it asks for, minutes. */
  readonly others: readonly {
    readonly zone: string;
    readonly day: CivilDay;
    readonly asked: number;
    readonly lit: number;
    /** Of `lit`, what came at other hours than asked and was missing in these. */
    readonly astray: number;
  }[];
  /** Why an event cannot be read. */
  readonly fault: string | undefined;
}

/** A likely lean with its drawing's markup. */
export interface DrawnLean extends LeanNow {
  readonly drawing: string;
}

/** What grows on the first of the shelves (indices) that were asked for; the others are to be asked for again. */
export interface LeansAnswer {
  readonly leans: readonly (readonly [shelf: number, leans: readonly DrawnLean[]])[];
  readonly left: readonly number[];
}

/** Every question with its answer. */
export interface WorkerQuestions {
  check: {
    ask: {
      text: string;
      photometry: Readonly<Record<string, string>>;
      at: At;
      /** What is let happen in it. */
      events: readonly string[];
    };
    answer: CheckAnswer;
  };
  moment: { ask: At; answer: RackMoment | undefined };
  /** What grows on shelves (indices) at the end of a day. */
  lean: {
    ask: { day: CivilDay; rates: readonly ZoneRate[]; shelves: readonly number[] };
    answer: LeansAnswer;
  };
  /** The level over shelves (indices), each at a height in mm. */
  map: {
    ask: { at: At; shelves: readonly (readonly [shelf: number, height: number])[] };
    answer: readonly LevelMap[];
  };
  weeks: {
    /** Events as `--event` takes them, keys of visits that are missed, and what really happened. */
    ask: {
      events: readonly string[];
      missed: readonly string[];
      lived: LivedWeeks | undefined;
    };
    answer: WeeksAnswer | undefined;
  };
  move: { ask: { text: string; what: Movable; going: Going }; answer: readonly Edit[] | undefined };
  trial: { ask: { text: string; what: Movable; shift: Vec3; at: At }; answer: TrialAnswer };
  starter: { ask: StarterOptions; answer: string };
}

export type Question = {
  [K in keyof WorkerQuestions]: {
    readonly id: number;
    readonly kind: K;
    readonly ask: WorkerQuestions[K]['ask'];
  };
}[keyof WorkerQuestions];

export interface Answer {
  readonly id: number;
  readonly answer?: unknown;
  /** What went wrong inside. */
  readonly fault?: string;
}

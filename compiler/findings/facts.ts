/**
 * The facts of every finding: what was found, as data.
 *
 * Always holds: a closed map, so that the compiler checks every report and every
 * word made of it; numbers, names, dates (ISO), closed lists of keys and what the
 * grower wrote: never a sentence, which the words make.
 */

import type { VisitKind } from '../../shared/table.ts';
import type { Code } from './codes.ts';

/** What a key takes. */
export type Expected =
  | QuantityKind
  | 'clock-time'
  | 'date'
  | 'weekday'
  | 'days'
  | 'side'
  | 'one-word'
  | 'text'
  | 'yes-no'
  | 'plain-number'
  | 'whole-number'
  | 'list'
  | 'pair'
  | 'point'
  | 'group'
  | 'named-entries'
  | 'something-else'
  | `name-of-${string}`;

/** What stands in its place. */
export type Found =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'group' }
  | { readonly kind: 'list'; readonly count: number }
  | { readonly kind: 'value'; readonly written: string };

/** The limits of a value, each as a plan would write it. */
export interface LimitFacts {
  readonly above?: string;
  readonly least?: string;
  readonly most?: string;
  /** Whole days, minutes or numbers only. */
  readonly whole?: 'days' | 'minutes' | 'number';
  /** What it must be where no range says it. */
  readonly must?: 'sides-differ' | 'points-differ' | 'direction';
}

/** A visit and where it went. */
export interface MovedVisit {
  readonly kind: VisitKind;
  readonly zone: string;
  /** Its day; of a harvest the first and last day of its opening. */
  readonly day: string;
  /** Where it is kept instead. */
  readonly to: string | undefined;
}

/** What takes how many bytes of a table. */
export interface CostFacts {
  readonly part: 'patterns' | 'tracks' | 'bindings' | 'offsets' | 'frame';
  readonly count: number;
  readonly bytes: number;
}

/** What was tried and makes a table fit. */
export type TableRemedy =
  | { readonly kind: 'later-day'; readonly day: string }
  | { readonly kind: 'same-start' }
  | { readonly kind: 'own-controller'; readonly batch: string };

/** A change of the rack by which a fault of the light might be helped. */
export type RemedyKind = 'screen' | 'cover' | 'longer' | 'ends' | 'flux';

type Optional<T> = { readonly [K in keyof T]?: T[K] | undefined };

/** Where and when the light is at fault, whose doing it is, and what was tried. */
export type LightFacts = {
  readonly zone: string;
  readonly batch: string;
  readonly stage: string;
  readonly days: number;
  readonly from: string;
  /** The bag that is worst off. */
  readonly bag: string | undefined;
  readonly cause: 'none' | 'background' | 'own' | 'neighbour';
} & Optional<{
  /** Names of the lamps, or of the background light, to blame. */
  by: readonly string[];
  /** The zone those lamps are there for. */
  of: string;
  /** Remedies that were tried without help. */
  tried: readonly RemedyKind[];
  /** Whether the remedy leaves nothing of the fault. */
  cleared: boolean;
  screenShelf: string;
  screenAxis: 'x' | 'y';
  screenAt: number;
  longerLamps: readonly string[];
  /** Their new lengths, mm, in the same order. */
  longerTo: readonly number[];
  fluxLamps: readonly string[];
  fluxPercent: number;
  coverShelf: string;
  emptyEnds: boolean;
  offAfter: number;
  contrastAfter: number;
  ratioAfter: number;
  leakAfter: number;
  levelAfter: number;
  brightestAfter: number;
}>;

/** Level of a zone and the band it is asked to be in, lx. */
interface LevelFacts {
  /** Under coloured lamps: the brightest bag by the eye, lx; the levels are lux of white light that bends alike. */
  readonly byEye?: number;
  readonly level: number;
  readonly brightest: number;
  readonly low: number;
  readonly high: number;
}

/** A load and what carries it, amperes; `everything`: with every lamp on. */
interface LoadFacts {
  readonly amperes: number;
  readonly rating: number;
  readonly most: number;
  readonly everything: boolean;
}

/** A harvest window beside the stage in which a batch ripens; dates. */
interface RipenessFacts {
  readonly batch: string;
  readonly stage: string;
  readonly ripens: string;
  readonly opens: string;
  /** The last day on which it is open. */
  readonly closes: string;
  /** Days from sealing to the first day of the stage, and to the day after its last. */
  readonly from: number;
  readonly until: number;
}

interface KeyFacts {
  /** The key it stands under. */
  readonly key?: string | undefined;
}

interface EachFacts {
  'text-too-large': { readonly bytes: number; readonly limit: number };
  'text-not-utf8': { readonly wide: boolean };
  'text-too-deep': object;
  'text-copies': { readonly limit: number };
  'text-tab': { readonly lines: number };
  'text-space-missing': { readonly key: string };
  'text-left-open': { readonly bracket: '{' | '['; readonly closing: '}' | ']' };
  'text-curly-quotes': { readonly inner: string };
  'text-unseen-character': { readonly character: string; readonly space: boolean };
  /** `reason`: the code of the YAML package. */
  'text-unreadable': { readonly reason: string };
  'text-empty': object;
  'text-bracket-too-many': { readonly bracket: string };
  'text-comma-in-number': { readonly repaired: string };
  'text-quote-left-open': { readonly quote: string };
  'text-comma-missing': { readonly key: string };
  'text-colon-missing': { readonly key: string };
  'text-more-findings': { readonly limit: number };
  'text-later-language': { readonly version: number; readonly known: number };
  'key-twice': { readonly key: string };
  'key-unknown': {
    readonly key: string;
    readonly where: string;
    readonly meant: string | undefined;
    readonly belongs: string | undefined;
    readonly known: readonly string[];
  };
  'key-missing': { readonly key: string; readonly where: string; readonly example: string | undefined };
  'key-excludes': { readonly entry: string; readonly key: string; readonly other: string };
  'value-kind': KeyFacts & {
    readonly expects: Expected;
    readonly found: Found;
    readonly example?: string | undefined;
  };
  'unit-missing': KeyFacts & {
    readonly expects: Expected;
    readonly number: string;
    readonly unit: string;
    readonly example: string;
    readonly units?: readonly string[];
  };
  'unit-other': KeyFacts & {
    readonly expects: Expected;
    readonly unit: string;
    readonly found: QuantityKind;
    readonly example: string;
  };
  'value-unreadable': KeyFacts & {
    readonly text: string;
    readonly expects: Expected;
    readonly example: string;
    readonly units: readonly string[];
    readonly unit?: string | undefined;
    readonly repaired?: string | undefined;
  };
  'value-out-of-range': KeyFacts & {
    /** As written; undefined where `limits.must` says all. */
    readonly text: string | undefined;
    readonly limits: LimitFacts;
    readonly example: string | undefined;
  };
  'value-unknown-word': KeyFacts & { readonly text: string; readonly words: readonly string[] };
  'value-order': {
    readonly key: string;
    readonly from: number;
    readonly to: number;
    /** `from` and `to` are minutes of the day. */
    readonly clock?: boolean;
  };
  'value-assumed': { readonly values: readonly { readonly path: string; readonly value: string }[] };
  'date-impossible': KeyFacts & { readonly text: string };
  'date-unreadable': KeyFacts & { readonly text: string };
  'time-unreadable': KeyFacts & { readonly text: string };
  'output-unreadable': { readonly text: string; readonly example: string };
  'output-missing': {
    readonly number: number;
    readonly count: number;
    readonly board: string;
    readonly controller: string;
  };
  'output-two-ways': { readonly number: number; readonly dimmable: string; readonly full: string };
  'name-twice': { readonly kind: string; readonly name: string | undefined };
  'name-not-allowed': { readonly name: string };
  'name-unknown': {
    readonly kind: string;
    readonly name: string;
    readonly known: readonly string[];
    readonly meant?: string | undefined;
  };
  'name-circle': { readonly name: string };
  'name-which': { readonly entry: string; readonly key: string; readonly known: readonly string[] };
  'place-unknown-timezone': { readonly name: string; readonly meant: string | undefined };
  'controller-same-address': { readonly unit: number; readonly name: string; readonly other: string };
  'controller-address': { readonly unit: number };
  'controller-zones': {
    readonly controller: string;
    readonly count: number;
    readonly limit: number;
    /** Those that stand on a shelf without lamps. */
    readonly unlit: readonly string[];
  };
  'zone-taken': {
    readonly zone: string;
    readonly earlier: string;
    readonly later: string;
    readonly free: string;
    readonly enters: string;
  };
  'zone-no-room': {
    readonly zone: string;
    readonly axis: 'x' | 'y';
    readonly size: number;
    /** What is kept free for the lamps of the zone, at both ends together. */
    readonly lamps: number;
    readonly shelf: string;
  };
  'zone-off-shelf': {
    readonly zone: string;
    readonly axis: 'x' | 'y';
    readonly from: number;
    readonly to: number;
    readonly size: number;
    readonly shelf: string;
  };
  'zone-overlap': { readonly zone: string; readonly other: string };
  'lamp-in-bag': { readonly lamp: string; readonly bag: string; readonly zone: string };
  'screen-in-bag': { readonly screen: string; readonly bag: string };
  'lamp-facing-away': { readonly lamp: string; readonly shelf: string };
  'lamp-one-side': {
    readonly zone: string;
    readonly stage: string;
    /** Degrees; undefined without any lamp. */
    readonly side: number | undefined;
    readonly opposite: number | undefined;
  };
  'bag-no-room': {
    readonly zone: string;
    readonly bag: string;
    readonly axis: 'x' | 'y';
    readonly count: number;
    readonly needs: number;
    readonly room: number;
    /** The shelf's own size that way where it is larger than the zone's. */
    readonly whole: number | undefined;
    readonly fits: number;
  };
  'bag-too-tall': {
    readonly bag: string;
    readonly height: number;
    readonly shelf: string;
    readonly clear: number;
  };
  'bag-no-headspace': { readonly bag: string; readonly block: number; readonly height: number };
  'bag-low-headspace': { readonly bag: string; readonly height: number; readonly percent: number };
  'shelf-passed': {
    readonly what: 'lamp' | 'screen';
    readonly name: string;
    readonly axis: 'x' | 'y' | 'z';
    readonly at: number;
    readonly size: number;
    readonly shelf: string;
  };
  'stage-no-days': KeyFacts;
  'stage-long-day': { readonly hours: number };
  'stage-too-early': {
    readonly stage: string;
    readonly date: string;
    readonly after: string;
    readonly first: boolean;
  };
  /** Minutes of the day; the hours two and two. */
  'visit-outside-hours': { readonly at: number; readonly hours: readonly number[] };
  'visit-dropped': { readonly visits: readonly MovedVisit[] };
  'visit-too-many': { readonly visits: readonly MovedVisit[] };
  'visit-reminders-end': { readonly controller: string; readonly until: string };
  'visit-moved': { readonly visits: readonly MovedVisit[]; readonly joined: readonly MovedVisit[] };
  'harvest-reminds-away': { readonly reminders: readonly MovedVisit[] };
  'batch-ended-early': { readonly ended: string; readonly sealed: string };
  'batch-moved-early': { readonly zone: string; readonly entered: string; readonly sealed: string };
  'batch-over-early': {
    readonly batch: string;
    readonly over: string;
    readonly opens: string;
    readonly days: number;
    readonly stages: readonly string[];
  };
  'harvest-unripe': RipenessFacts;
  'harvest-opens-early': RipenessFacts;
  'batch-kept': { readonly days: number; readonly dark: string; readonly ended: string };
  'mix-not-whole': { readonly percent: number };
  'turn-no-lamp': { readonly zone: string; readonly stage: string };
  'turn-no-fit': { readonly bag: string; readonly square: boolean };
  'clock-change': {
    readonly stage: string;
    readonly batch: string;
    readonly start: number;
    readonly date: string;
    readonly skipped: boolean;
    readonly until: number;
  };
  'light-cut': {
    readonly stage: string;
    readonly batch: string;
    readonly date: string;
    /** How much is cut; `whole`: nothing is left. */
    readonly minutes: number;
    readonly whole: boolean;
    readonly next: string | undefined;
    readonly nextBatch: string;
    readonly nextDate: string;
    readonly nextStart: number;
  };
  'room-dark': object;
  /** °C. */
  'room-stage-apart': {
    readonly stage: string;
    readonly low: number;
    readonly high: number;
    readonly roomLow: number;
    readonly roomHigh: number;
  };
  'table-too-large': {
    readonly controller: string;
    readonly bytes: number;
    readonly limit: number;
    /** Of what there is more than a table can number, whatever its size. */
    readonly tooMany: readonly {
      readonly part: 'patterns' | 'tracks';
      readonly count: number;
      readonly most: number;
    }[];
    readonly costs: readonly CostFacts[];
    readonly remedies: readonly TableRemedy[];
  };
  'log-short': { readonly controller: string; readonly days: number; readonly perDay: number };
  'load-circuit': LoadFacts;
  'load-supply': LoadFacts & { readonly controller: string };
  'load-usb': { readonly relays: number; readonly amperes: number; readonly limit: number };
  'load-output': {
    readonly controller: string;
    readonly number: number;
    readonly amperes: number;
    readonly rating: number;
  };
  'load-contact-life': {
    readonly controller: string;
    readonly number: number;
    readonly operations: number;
    readonly life: number;
    readonly years: number;
  };
  'light-film': {
    readonly bag: string;
    readonly passes: number;
    readonly scatters: number;
    readonly possible: number;
    readonly wanted: number;
  };
  'light-lean': LightFacts & {
    readonly side: number;
    readonly off: number;
    readonly offAllowed: number;
    readonly contrast: number;
    readonly contrastWanted: number;
  };
  'light-uneven': LightFacts & { readonly ratio: number; readonly ratioAllowed: number };
  'light-level': LightFacts & LevelFacts;
  'light-unlit': LightFacts &
    LevelFacts & {
      /** The bags out of reach, out of how many; none when all are lit for a part of the time. */
      readonly missed: readonly string[];
      readonly bags: number;
      /** The most that any of those gets, lx. */
      readonly missedLevel: number;
      /** The side asked for, degrees; undefined for upright. */
      readonly side: number | undefined;
      /** Whether that would do, but comes from another side. */
      readonly astray: boolean;
    };
  'light-in-dark': LightFacts & {
    readonly leak: number;
    readonly most: number;
    readonly allowed: number;
    /** All zones that one background light reaches in the dark. */
    readonly zones?: readonly string[];
  };
  'light-overhead': LightFacts & { readonly elevation: number };
  /** Lamps of one output that reach none of the zones they stand before. */
  'light-no-pull': {
    readonly lamps: readonly string[];
    readonly zones: readonly string[];
    /** The most it gives any point of them, lx. */
    readonly lux: number;
    /** Wavelengths up to which light bends wholly and from which not at all, nm. */
    readonly full: number;
    readonly none: number;
  };
  'light-lamp-idle': {
    readonly lamps: readonly string[];
    readonly zones: readonly string[];
    /** Strips that face along their own length. */
    readonly along: boolean;
    /** Whether other lamps of their output do shine. */
    readonly others: boolean;
  };
  'light-cap-range': {
    readonly zone: string;
    readonly stage: string;
    /** Mean level of the least-lit bag, lx; hours a day. */
    readonly level: number;
    readonly hours: number;
  };
  'light-by-height': {
    readonly zone: string;
    readonly stage: string;
    /** Level wanted at least, and in the lowest fifth of the headspace, its middle and its top, lx. */
    readonly low: number;
    readonly lowest: number;
    readonly middle: number;
    readonly top: number;
    /** Degrees above the level from which the light comes at the top. */
    readonly elevation: number;
  };
  'photometry-missing': { readonly file: string };
  'photometry-unreadable': { readonly file: string; readonly line: number; readonly fault: string };
  'spectrum-missing': { readonly file: string };
  'spectrum-unreadable': { readonly file: string; readonly line: number; readonly fault: string };
}

/** What a unit measures. Base units: mm, kg, L, lm, lm/m, lm/W, lx, W, V, A, C, nm, K, min, share (1), deg, kg/L, mm/d, bags. */
export type QuantityKind =
  | 'length'
  | 'mass'
  | 'volume'
  | 'flux'
  | 'fluxPerLength'
  | 'efficacy'
  | 'illuminance'
  | 'power'
  | 'voltage'
  | 'current'
  | 'temperature'
  | 'wavelength'
  | 'colourTemperature'
  | 'time'
  | 'share'
  | 'angle'
  | 'density'
  | 'growth'
  | 'bags';

/** The facts of each finding; a code without facts does not compile. */
export type FactsOf = { readonly [C in Code]: EachFacts[C] };

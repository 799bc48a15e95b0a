/**
 * The schedule table, version 1, as `table-format.md` has it: the decoded form,
 * the encoder and the decoder.
 *
 * Always holds: `decodeTable(encodeTable(t))` gives `t` back; a table that is
 * refused gives a reason and no half-read contents.
 */

import type { CivilDay } from './units.ts';

export const TABLE_VERSION = 1;
export const TABLE_MAX_BYTES = 440;
export const TABLE_HEADER_BYTES = 11;
export const TABLE_CRC_BYTES = 4;
/** The pattern number that stands for a dark day. */
export const DARK = 63;
export const MAX_PATTERNS = 63;
export const MAX_TRACKS = 255;
export const MAX_SEGMENTS = 16;
export const MAX_ZONES = 16;

export const SECTION = {
  offsets: 1,
  patterns: 2,
  tracks: 3,
  bindings: 4,
  limits: 5,
  visits: 6,
  pulse: 7,
  room: 8,
} as const;

export const VISIT_KINDS = ['look', 'lift', 'turn', 'harvest'] as const;
export type VisitKind = (typeof VISIT_KINDS)[number];

export interface Table {
  readonly baseDay: CivilDay;
  /** First four bytes of the SHA-256 of the plan's text, as a big-endian number (so that its hex reads like the digest's). */
  readonly digest: number;
  /** UTC offset in quarter hours from before day 0. */
  readonly initialQuarters: number;
  /** `minute`: UTC minutes from day 0, 00:00 UTC. */
  readonly changes: readonly OffsetChange[];
  readonly patterns: readonly Pattern[];
  readonly tracks: readonly Track[];
  readonly bindings: readonly Binding[];
  readonly limits: Limits | undefined;
  readonly visits: Visits | undefined;
  readonly pulse: Pulse | undefined;
  readonly room: RoomBand | undefined;
}

export interface OffsetChange {
  readonly minute: number;
  readonly quarters: number;
}

export interface Pattern {
  /** Minute of the day, 0–1439. */
  readonly start: number;
  readonly continuous: boolean;
  /** 1–16 segments; lengths in minutes sum to at most 1440. */
  readonly segments: readonly Segment[];
}

export interface Segment {
  readonly length: number;
  /** 0–16. */
  readonly level: number;
}

export type Track = readonly Run[];

export type Run =
  | { readonly kind: 'plain'; readonly days: number; readonly pattern: number }
  | {
      readonly kind: 'cycle';
      readonly days: number;
      readonly period: number;
      readonly patterns: readonly number[];
    };

export interface Binding {
  /** Bit 0 is output 1. */
  readonly outputs: number;
  readonly track: number;
  /** Days after the base day. */
  readonly startDay: number;
  /** Fixed UTC offset in quarter hours; undefined follows the wall clock. */
  readonly steadyQuarters: number | undefined;
}

export interface Limits {
  readonly dwellSeconds: number;
  /** 0: no limit. */
  readonly longestOnMinutes: number;
}

export interface Visits {
  readonly zoneCount: number;
  readonly groups: readonly VisitGroup[];
}

export interface VisitGroup {
  readonly entries: readonly VisitEntry[];
  readonly bindings: readonly VisitBinding[];
}

export interface VisitBinding {
  readonly startDay: number;
  /** Bit 0 is the controller's first zone. */
  readonly zones: number;
}

export type VisitEntry = { readonly kind: VisitKind; readonly at: number; readonly from: number } & VisitForm;

export type VisitForm =
  | { readonly form: 'every'; readonly every: number; readonly count: number }
  | { readonly form: 'weekdays'; readonly mask: number; readonly days: number }
  | { readonly form: 'once' }
  | { readonly form: 'open'; readonly days: number };

export interface Pulse {
  readonly sound: boolean;
  readonly light: boolean;
  readonly hours: readonly (readonly [from: number, until: number])[];
}

export interface RoomBand {
  /** 1/16 °C. */
  readonly low: number;
  readonly high: number;
}

/** Why bytes are not a table. */
export type TableRefusal =
  | 'too short'
  | 'not a schedule table'
  | 'newer version'
  | 'wrong length'
  | 'damaged'
  | 'bad contents';

export type Decoded =
  | { readonly ok: true; readonly table: Table }
  | { readonly ok: false; readonly why: TableRefusal };

/** The output byte (0–255) of a level 0–16. */
export function levelByte(level: number): number {
  return Math.floor((255 * level + 8) / 16);
}

/** One written field of a table, for the listing. */
export interface Field {
  readonly offset: number;
  readonly bytes: Uint8Array;
  /** Which section or part it belongs to. */
  readonly part: TablePart;
  readonly meaning: string;
}

export type TablePart = 'frame' | keyof typeof SECTION;

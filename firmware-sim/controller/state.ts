/**
 * All that a controller remembers, as plain data, and the controller that
 * carries it.
 *
 * Always holds: `State` can be written as JSON and read back; what is derived
 * from the running table lies beside it in `SimulatedController` and can be made anew.
 */

import { DEFAULT_HAND_MINUTES } from '../../shared/registers.ts';
import type { Schedule } from '../schedule.ts';
import type { Hardware } from './hardware.ts';
import type { Occurrence } from './visit-days.ts';

/** What the controller's code knows of its board. */
export interface SimulatedBoard {
  readonly id: string;
  readonly number: number;
  /** How many outputs there are, 1–8. */
  readonly outputs: number;
  /** Millivolts below which nothing is written to the EEPROM. */
  readonly supplyNeeded: number;
}

/** An overlay covers [begin, end); `end` at or before the second last processed: none. */
export interface Overlay {
  begin: number;
  end: number;
  level: number;
}

export interface Trial {
  readonly slot: number;
  readonly session: number;
  deadline: number;
}

/** The open day's totals and trace. */
export interface Day {
  /** Civil day from 2000-01-01; -1: no day is open. */
  day: number;
  partial: boolean;
  /** Seconds each output has been on. */
  readonly onSeconds: number[];
  crc: number;
  /** The next trace entry is made whether or not a target changed. */
  fresh: boolean;
  /** Targets at the second before. */
  readonly before: number[];
  /** 1/16 °C over `count` readings. */
  min: number;
  max: number;
  sum: number;
  count: number;
  outsideMinutes: number;
  resets: number;
}

/** Faults by number: bit n − 1 of the masks, place n of the list. */
export interface Faults {
  present: number;
  /** Present, but entered too soon after leaving to be logged. */
  quiet: number;
  /** Second of the last entering or leaving worth a record; -1: never. */
  readonly changedAt: number[];
}

/** What a reset that keeps power keeps (behaviour.md, section 6). */
export interface Retained {
  /** The second last processed. */
  last: number;
  readonly hand: Overlay[];
  /** Outputs whose hand overlay was released: its end is logged already. */
  released: number;
  work: Overlay;
  /** The end of the work light is still to be logged. */
  workOpen: boolean;
  /** Level beneath the wait after a restart. */
  readonly level: number[];
  /** Processed seconds since each output switched, and since it went on. */
  readonly sinceSwitch: number[];
  readonly onFor: number[];
  /** Outputs held off by the longest-on limit. */
  held: number;
  trial: Trial | undefined;
  /** Last upload session given. */
  uploadSession: number;
  day: Day;
  /** Second of the previous visit check; -1: none yet. */
  visitCheck: number;
  readonly faults: Faults;
  /** Failed readings, and minutes outside the band, in a row. */
  probeFails: number;
  outsideRun: number;
  handMinutes: number;
  resets: number;
  /** Minutes of the outage before the last restart that lost power; 0xFFFFFF: unknown. */
  outage: number;
}

export interface Upload {
  readonly slot: number;
  readonly length: number;
  readonly session: number;
}

export interface State {
  retained: Retained;
  known: boolean;
  estimated: boolean;
  /** The controller's second minus the tick's, while the clock does not answer. */
  skew: number;
  session: number;
  /** Cause of the last restart. */
  cause: number;
  /** The second from which outputs wait. */
  waitFrom: number;
  /** The second from which outputs may switch again, one after another. */
  turnFrom: number;
  /** -1: none. */
  runningSlot: number;
  upload: Upload | undefined;
  unit: number;
  identity: number;
  /** Millivolts of the chip's reference by a meter; undefined: as it is taken for. */
  reference: number | undefined;
  /** Newest sequence in the log; 0: none. */
  newest: number;
  /** The log memory answered when it was last needed. */
  logAnswers: boolean;
  /** Newest closed due day (civil) by 16 · kind + zone; -1: none. */
  readonly closed: number[];
  /** Civil day on which a zone's harvest was last seen; -1: none. */
  readonly seen: number[];
  /** Last reading, 1/16 °C. */
  temperature: number | undefined;
  outside: boolean;
  /** Bytes of the frame that is arriving. */
  readonly arriving: number[];
  /** The request in work: its frame without unit and CRC. */
  working: number[] | undefined;
}

/** A controller: state, surroundings, and what the running table gives. */
export interface SimulatedController {
  readonly board: SimulatedBoard;
  readonly hardware: Hardware;
  state: State;
  schedule: Schedule | undefined;
  /** All visits of the running table, ascending by window end. */
  occurrences: readonly Occurrence[];
}

const eight = (value: number): number[] => Array<number>(8).fill(value);
export const LONG_AGO = 0xffff;

const noOverlay = (): Overlay => ({ begin: 0, end: 0, level: 0 });

/** A day with nothing in it. */
export function emptyDay(day: number, partial: boolean): Day {
  return {
    day,
    partial,
    onSeconds: eight(0),
    crc: 0xffff,
    fresh: true,
    before: eight(0),
    min: 0,
    max: 0,
    sum: 0,
    count: 0,
    outsideMinutes: 0,
    resets: 0,
  };
}

/** The retained block as it starts afresh. */
export function freshRetained(): Retained {
  return {
    last: 0,
    hand: Array.from({ length: 8 }, noOverlay),
    released: 0,
    work: noOverlay(),
    workOpen: false,
    level: eight(0),
    sinceSwitch: eight(LONG_AGO),
    onFor: eight(0),
    held: 0,
    trial: undefined,
    uploadSession: 0,
    day: emptyDay(-1, true),
    visitCheck: -1,
    faults: { present: 0, quiet: 0, changedAt: Array<number>(17).fill(-1) },
    probeFails: 0,
    outsideRun: 0,
    handMinutes: DEFAULT_HAND_MINUTES,
    resets: 0,
    outage: 0xffffff,
  };
}

/** The state before a start, around a retained block. */
export function freshState(retained: Retained): State {
  return {
    retained,
    known: false,
    estimated: false,
    skew: 0,
    session: 0,
    cause: 0,
    waitFrom: 0,
    turnFrom: 0,
    runningSlot: -1,
    upload: undefined,
    unit: 1,
    identity: 0,
    reference: undefined,
    newest: 0,
    logAnswers: false,
    closed: Array<number>(64).fill(-1),
    seen: Array<number>(16).fill(-1),
    temperature: undefined,
    outside: false,
    arriving: [],
    working: undefined,
  };
}

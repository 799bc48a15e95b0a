/**
 * The words for what a controller reports: faults, causes, visits, log records.
 *
 * Always holds: every number of the contracts that a grower can meet has its
 * words here, and nowhere else.
 */

import { type UtcOffsets, wallClock } from '../../compiler/plan/utc-offsets.ts';
import { clockTime, isoDate } from '../../shared/civil.ts';
import { type LogRecord, NO_TEMPERATURE, OUTAGE_UNKNOWN } from '../../shared/log.ts';
import { temperature, temperatureInBoth, type Units } from '../../shared/measures.ts';
import { VISIT_KINDS } from '../../shared/table.ts';
import { civilDay, type UtcSeconds } from '../../shared/units.ts';
import { lengthWords } from './lengths.ts';
import { type Names, NO_NAMES, oneOutput, outputWords, zoneWords } from './names.ts';

const FAULTS: Record<number, string> = {
  1: 'the time is only an estimate',
  2: 'the clock does not answer',
  3: "the clock's one-second tick is lost",
  4: 'the probe does not answer',
  5: 'the log memory does not answer',
  6: 'the supply is low',
  7: 'no schedule table',
  8: 'the room has been outside its band for two hours',
  9: 'an output reached its longest time on',
  10: 'an output pin does not follow',
  11: 'the program memory is damaged',
  12: 'the memory test failed',
  13: 'the stack ran into the data',
  14: 'a table slot is damaged',
  15: 'the tick and the CPU clock disagree',
  16: 'a settings copy was damaged and has been mended',
};

const CAUSES: Record<number, string> = {
  1: 'power came on',
  2: 'the supply dipped',
  3: 'the watchdog restarted it',
  4: 'a reset, and nothing was kept in memory',
};

const OUTCOMES = ['done', 'done late', 'missed', 'seen', 'taken back'];
const HAND_ENDS = ['its time ran out', 'released', 'the power went'];

/** The words for a fault number. */
export function faultWords(fault: number): string {
  return FAULTS[fault] ?? `fault ${fault}`;
}

/** Why it started last, as its status tells: there, a reset says nothing about what was kept. */
export function startWords(cause: number): string {
  return cause === 4 ? 'a reset, as when its port is opened' : causeWords(cause);
}

/** Why it started, as its log tells. */
export function causeWords(cause: number): string {
  return CAUSES[cause] ?? `start of kind ${cause}`;
}

/** Civil date and time at the place. */
export function timeWords(time: UtcSeconds, offsets: UtcOffsets): string {
  const { day, minute } = wallClock(offsets, time);
  return `${isoDate(civilDay(day))} ${clockTime(minute)}`;
}

/** When a record was written: a civil day for the day's records, else date and time. */
export function recordTime(record: LogRecord, offsets: UtcOffsets): string {
  if (record.type === 'light' || record.type === 'proof') return isoDate(record.day);
  return timeWords(record.time, offsets);
}

/**
 * By how much the clock was set forward while the fault lasted of which record `index` tells the end: that is no time
 * that passed. Null where its beginning is not among the records and the clock was set meanwhile; else 0.
 */
export function setMeanwhile(records: readonly LogRecord[], index: number): number | null {
  const end = records[index];
  if (end?.type !== 'fault' || end.entered) return 0;
  let forward = 0;
  for (let i = index - 1; i >= 0; i--) {
    const one = records[i];
    if (one?.type === 'clockSet') forward += one.forward;
    if (one?.type === 'fault' && one.fault === end.fault && one.entered && one.time === end.detail)
      return forward;
  }
  return forward === 0 ? 0 : null;
}

/** What a record says, in a line. */
export function recordWords(record: LogRecord, names: Names, forward: number | null = 0): string {
  const remarks = [
    record.partial && 'incomplete day',
    record.estimated && "the clock's time was estimated",
  ].filter(Boolean);
  const words = bodyWords(record, names, forward);
  return remarks.length > 0 ? `${words} (${remarks.join('; ')})` : words;
}

function bodyWords(record: LogRecord, names: Names, forward: number | null): string {
  switch (record.type) {
    case 'light':
      return lightWords(record.onTime, names);
    case 'proof':
      return proofWords(record, names.units);
    case 'boot':
      return `started: ${causeWords(record.cause)}${outageWords(record.outageMinutes)}`;
    case 'visit':
      return visitWords(record, names);
    case 'fault':
      return `${record.entered ? 'fault' : 'fault over'}: ${faultWords(record.fault)}${detailWords(record, names.units, forward)}`;
    case 'clockSet':
      return clockSetWords(record.forward);
    case 'visitsPassed':
      return `${record.count} visits passed while the power was off`;
    default:
      return overlayWords(record, names);
  }
}

type Of<Type extends LogRecord['type']> = Extract<LogRecord, { type: Type }>;

function overlayWords(
  record: Of<'hand' | 'handEnd' | 'workLight' | 'committed' | 'confirmed' | 'reverted'>,
  names: Names,
): string {
  switch (record.type) {
    case 'hand': {
      const what = record.level === 0 ? 'off' : 'on';
      return `${outputWords(record.outputs, names)} switched ${what} by hand for ${lengthWords(record.minutes)}`;
    }
    case 'handEnd':
      return `hand switching of ${outputWords(record.outputs, names)} ended: ${HAND_ENDS[record.why] ?? 'unknown'}`;
    case 'workLight':
      return record.begins ? `work light on for ${lengthWords(record.seconds / 60)}` : 'work light ended';
    case 'committed':
      return `new table number ${record.tableSequence} on trial (CRC ${hex(record.crc, 8)})`;
    case 'confirmed':
      return `table number ${record.tableSequence} confirmed (CRC ${hex(record.crc, 8)})`;
    case 'reverted':
      return `trial of table number ${record.tableSequence} ended, back to the table before: ${revertWords(record.slot)}`;
  }
}

function revertWords(slot: number): string {
  if (slot & 0x80) return 'on request';
  return slot & 0x40 ? 'it restarted meanwhile' : 'it was not confirmed in time';
}

function lightWords(onTime: readonly number[], names: Names): string {
  const lit = onTime.flatMap((units, i) =>
    units > 0 ? [`${oneOutput(i + 1, names)} ${(units / 10).toFixed(1)} h`] : [],
  );
  return lit.length > 0 ? `light: ${lit.join(', ')}` : 'light: none all day';
}

function proofWords(record: Of<'proof'>, units: Units | undefined): string {
  const room =
    record.mean === NO_TEMPERATURE
      ? 'no temperature'
      : `room ${bandWords(record.min / 2, record.max / 2, units)}, mean ${roomTemperature(record.mean / 2, units)}`;
  const outside =
    record.outsideMinutes > 0 ? `, outside its band for ${lengthWords(record.outsideMinutes)}` : '';
  return `the day's checksum ${hex(record.crc, 4)}; ${room}${outside}`;
}

function outageWords(minutes: number): string {
  if (minutes === OUTAGE_UNKNOWN) return ', off for an unknown time';
  return minutes > 0 ? `, off for about ${lengthWords(minutes)}` : '';
}

function visitWords(record: Of<'visit'>, names: Names): string {
  const kind = VISIT_KINDS[record.kind] ?? `visit ${record.kind}`;
  const outcome = OUTCOMES[record.outcome] ?? 'unknown';
  const late = record.lateMinutes;
  const when =
    late < 0
      ? `, ${lengthWords(-late)} before it was due`
      : late > 0
        ? `, ${lengthWords(late)} after it was due`
        : '';
  return `visit ${outcome}: ${kind} in ${zoneWords(record.zones, names)}${record.outcome === 2 ? '' : when}`;
}

/** Earlier seconds were counted from 0 with the time unknown (behaviour.md, section 5). */
const COUNTED_SECONDS = 366 * 86_400;

/** ` (lasted 1 h 41 min)`; nothing for less than a minute, or where the length cannot be known. */
function lastedWords(since: number, until: number): string {
  if (since < COUNTED_SECONDS || until - since < 60) return '';
  return ` (lasted ${lengthWords((until - since) / 60)})`;
}

function detailWords(
  { fault, entered, detail, time }: Of<'fault'>,
  units: Units | undefined,
  forward: number | null,
): string {
  if (!entered) return forward === null ? '' : lastedWords(detail, time - forward);
  if (fault === 6) return ` (${detail} mV)`;
  if (fault === 8) return ` (${roomTemperature((detail | 0) / 16, units)})`;
  if (fault === 9 || fault === 10) return ` (${outputWords(detail, NO_NAMES)})`;
  return '';
}

function clockSetWords(forward: number): string {
  if (forward === 0) return 'clock set, less than a second off';
  const amount = Math.abs(forward) < 120 ? `${Math.abs(forward)} s` : lengthWords(Math.abs(forward) / 60);
  return `clock set ${forward > 0 ? 'forward' : 'back'} by ${amount}`;
}

/** A temperature of the room, in both units where no plan says in which: `21.5 °C`, `71 °F`, `21.5 °C (71 °F)`. */
export function roomTemperature(celsius: number, units: Units | undefined): string {
  return units === undefined ? temperatureInBoth(celsius) : temperature(celsius, units, 1);
}

/** `18.5 to 24.0 °C`; `21.0 °C` where both are that. */
export function bandWords(low: number, high: number, units: Units | undefined): string {
  if (units === undefined) return `${bandWords(low, high, 'metric')} (${bandWords(low, high, 'us')})`;
  const [from, to] = [temperature(low, units, 1), temperature(high, units, 1)];
  return from === to ? to : `${from.replace(/ °[CF]$/, '')} to ${to}`;
}

/** Hexadecimal, padded. */
export function hex(value: number, digits: number): string {
  return value.toString(16).toUpperCase().padStart(digits, '0');
}

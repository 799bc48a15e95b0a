/**
 * A log record as one flat row for spreadsheets and other tools: one column a
 * field, named with its unit; a field that a record does not have is null.
 *
 * Always holds: the columns and their order are the same in every format;
 * `raw` holds the 16 bytes in hex, from which everything else can be had again.
 */

import { isoDate, isoInstant } from '../../shared/civil.ts';
import {
  BOOT_CAUSE,
  encodeRecord,
  FAULT,
  HAND_END,
  type LogRecord,
  NO_TEMPERATURE,
  OUTAGE_UNKNOWN,
  VISIT_OUTCOME,
} from '../../shared/log.ts';
import { VISIT_KINDS } from '../../shared/table.ts';

type Cell = string | number | null;
type Kind = 'STRING' | 'INT32' | 'INT64' | 'DOUBLE';

const OUTPUT_COLUMNS = Array.from({ length: 8 }, (_, i) => [`output_${i + 1}_h`, 'DOUBLE'] as const);

/** Every column with its type. Hours and degrees are decimal; times ISO 8601 in UTC. */
export const FLAT_COLUMNS: readonly (readonly [name: string, kind: Kind])[] = [
  ['controller', 'INT64'],
  ['sequence', 'INT32'],
  ['record', 'STRING'],
  ['partial', 'INT32'],
  ['estimated', 'INT32'],
  ['day', 'STRING'],
  ['time', 'STRING'],
  ...OUTPUT_COLUMNS,
  ['proof', 'INT32'],
  ['temperature_min_c', 'DOUBLE'],
  ['temperature_mean_c', 'DOUBLE'],
  ['temperature_max_c', 'DOUBLE'],
  ['outside_min', 'INT32'],
  ['resets', 'INT32'],
  ['cause', 'STRING'],
  ['outage_min', 'INT32'],
  ['visit', 'STRING'],
  ['outcome', 'STRING'],
  ['zones', 'INT32'],
  ['late_min', 'INT32'],
  ['outputs', 'INT32'],
  ['level', 'INT32'],
  ['lasts_s', 'INT32'],
  ['why', 'STRING'],
  ['begins', 'INT32'],
  ['clock_forward_s', 'INT32'],
  ['fault', 'STRING'],
  ['entered', 'INT32'],
  ['detail', 'INT64'],
  ['table_crc', 'INT64'],
  ['table_sequence', 'INT32'],
  ['table_slot', 'INT32'],
  ['count', 'INT32'],
  ['raw', 'STRING'],
];

/** One row; only the columns that the record has are set. */
export type FlatRow = Readonly<Record<string, Cell>>;

/** The flat row of a record. */
export function flatRow(identity: number, record: LogRecord): FlatRow {
  return {
    controller: identity,
    sequence: record.sequence,
    record: record.type,
    partial: record.partial ? 1 : 0,
    estimated: record.estimated ? 1 : 0,
    day: 'day' in record ? isoDate(record.day) : null,
    time: 'time' in record ? isoInstant(record.time) : null,
    ...fields(record),
    raw: Buffer.from(encodeRecord(record)).toString('hex'),
  };
}

function fields(record: LogRecord): FlatRow {
  switch (record.type) {
    case 'light':
      return Object.fromEntries(record.onTime.map((units, i) => [`output_${i + 1}_h`, units / 10]));
    case 'proof':
      return {
        proof: record.crc,
        temperature_min_c: halfDegrees(record.min),
        temperature_mean_c: halfDegrees(record.mean),
        temperature_max_c: halfDegrees(record.max),
        outside_min: record.outsideMinutes,
        resets: record.resets,
      };
    case 'boot': {
      const outage = record.outageMinutes === OUTAGE_UNKNOWN ? null : record.outageMinutes;
      return { cause: nameOf(BOOT_CAUSE, record.cause), outage_min: outage, resets: record.resets };
    }
    case 'visit':
      return {
        visit: VISIT_KINDS[record.kind] ?? String(record.kind),
        outcome: nameOf(VISIT_OUTCOME, record.outcome),
        zones: record.zones,
        late_min: record.lateMinutes,
      };
    default:
      return eventFields(record);
  }
}

function eventFields(record: Exclude<LogRecord, { type: 'light' | 'proof' | 'boot' | 'visit' }>): FlatRow {
  switch (record.type) {
    case 'hand':
      return { outputs: record.outputs, level: record.level, lasts_s: record.minutes * 60 };
    case 'handEnd':
      return { outputs: record.outputs, why: nameOf(HAND_END, record.why) };
    case 'workLight':
      return { begins: record.begins, lasts_s: record.seconds };
    case 'clockSet':
      return { clock_forward_s: record.forward };
    case 'fault':
      return { fault: nameOf(FAULT, record.fault), entered: record.entered, detail: record.detail };
    case 'visitsPassed':
      return { count: record.count };
    default:
      return { table_crc: record.crc, table_sequence: record.tableSequence, table_slot: record.slot };
  }
}

function halfDegrees(value: number): number | null {
  return value === NO_TEMPERATURE ? null : value / 2;
}

function nameOf(names: Readonly<Record<string, number>>, value: number): string {
  return Object.keys(names).find((name) => names[name] === value) ?? String(value);
}

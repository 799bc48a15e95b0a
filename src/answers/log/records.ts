/**
 * The run log for other programs: comma-separated values and JSON.
 *
 * Always holds: times are UTC instants, days are civil days at the place; the
 * raw 16 bytes stand beside what they say.
 */

import { isoDate, isoInstant } from '../../../shared/civil.ts';
import { toHex } from '../../../shared/hex.ts';
import {
  BOOT_CAUSE,
  type LogRecord,
  NO_TEMPERATURE,
  OUTAGE_UNKNOWN,
  VISIT_OUTCOME,
} from '../../../shared/log.ts';
import { VISIT_KINDS } from '../../../shared/table.ts';
import { recordWords, setMeanwhile } from '../../words/controller.ts';
import { NO_NAMES } from '../../words/names.ts';
import type { LogReading, RawRecord } from './reading.ts';

/** One record with named values. */
export function recordJson(
  { sequence, raw, record }: RawRecord,
  forward: number | null = 0,
): Record<string, unknown> {
  const { partial, estimated, sequence: _, ...body } = record;
  return {
    sequence,
    ...body,
    ...whenJson(record),
    ...meaningJson(record),
    partial,
    estimated,
    words: recordWords(record, NO_NAMES, forward),
    raw: toHex(raw),
  };
}

function whenJson(record: LogRecord): Record<string, string> {
  if (record.type === 'light' || record.type === 'proof') return { day: isoDate(record.day) };
  return { time: isoInstant(record.time) };
}

function meaningJson(record: LogRecord): Record<string, unknown> {
  switch (record.type) {
    case 'light':
      return { onTime: undefined, onHours: record.onTime.map((units) => units / 10) };
    case 'proof':
      return { min: half(record.min), mean: half(record.mean), max: half(record.max) };
    case 'boot':
      return {
        cause: keyOf(BOOT_CAUSE, record.cause),
        outageMinutes: known(record.outageMinutes, OUTAGE_UNKNOWN),
      };
    case 'visit':
      return { kind: VISIT_KINDS[record.kind] ?? record.kind, outcome: keyOf(VISIT_OUTCOME, record.outcome) };
    default:
      return {};
  }
}

const half = (value: number): number | null => (value === NO_TEMPERATURE ? null : value / 2);
const known = (value: number, none: number): number | null => (value === none ? null : value);

function keyOf(names: Readonly<Record<string, number>>, value: number): string | number {
  return Object.keys(names).find((name) => names[name] === value) ?? value;
}

/** The reading as one JSON value. */
export function logJson({ oldest, newest, missing, records }: LogReading): Record<string, unknown> {
  return {
    oldest,
    newest,
    missing,
    records: records.map((one, i) => recordJson(one, meanwhile(records, i))),
  };
}

/** The reading as CSV (RFC 4180), a heading first. */
export function logCsv({ records }: LogReading): string[] {
  return [
    'sequence,when,type,partial,estimated,words,raw',
    ...records.map(({ sequence, raw, record }, i) =>
      [
        sequence,
        Object.values(whenJson(record))[0],
        record.type,
        Number(record.partial),
        Number(record.estimated),
        quoted(recordWords(record, NO_NAMES, meanwhile(records, i))),
        toHex(raw),
      ].join(','),
    ),
  ];
}

function meanwhile(records: readonly RawRecord[], index: number): number | null {
  return setMeanwhile(
    records.map((one) => one.record),
    index,
  );
}

function quoted(text: string): string {
  return `"${text.replaceAll('"', '""')}"`;
}

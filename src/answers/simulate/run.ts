/**
 * Runs a plan's tables on simulated controllers over a span of the grow, with
 * events, before anything real is flashed.
 *
 * Always holds: the controller knows the plan only through the table's bytes;
 * the trace begins with the state at the first instant.
 */

import type { ControllerTable } from '../../../compiler/compiled.ts';
import type { Act } from '../../../firmware-sim/happenings.ts';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { makeSimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { decodeRecord, type LogRecord, RECORD_BYTES } from '../../../shared/log.ts';
import { type CivilDay, celsius, type UtcSeconds, utcSeconds } from '../../../shared/units.ts';

/** Levels from an instant on: true UTC and the eight output bytes. */
export interface TraceLine {
  readonly utc: UtcSeconds;
  readonly levels: Uint8Array;
}

export interface SimulatedRun {
  readonly table: ControllerTable;
  readonly trace: readonly TraceLine[];
  /** What its log still holds of the span at the end, oldest first. */
  readonly records: readonly LogRecord[];
  /** Switchings of each output within the span. */
  readonly operations: readonly number[];
}

/** The controller starts so long before the span, so that its outputs have come up. */
const WARM_UP_SECONDS = 60;
/** The room, unless an event says otherwise. */
const ROOM = celsius(24);

/** What is simulated: from the first civil day's first second up to `until`. */
export interface SimulatedSpan {
  readonly first: CivilDay;
  readonly from: UtcSeconds;
  readonly until: UtcSeconds;
}

/** Runs one controller over a span. */
export function simulateController(
  table: ControllerTable,
  span: SimulatedSpan,
  acts: readonly Act[],
): SimulatedRun {
  const { from, until } = span;
  const device = makeSimulatedDevice({
    board: table.board,
    utc: utcSeconds(from - WARM_UP_SECONDS),
    clockRight: true,
    probe: ROOM * 16,
    table: table.encoded.bytes,
  });
  const world = new Happenings(device);
  world.schedule(acts);
  world.advanceTo(from);
  const before = Uint32Array.from(device.operations);
  const trace: TraceLine[] = [{ utc: from, levels: device.levels }];
  device.onLevels = (utc, levels) => addLine(trace, utc, levels);
  world.advanceTo(until);
  const operations = [...device.operations].map((count, output) => count - itemAt(before, output));
  const records = recordsIn(device.memories.log).filter((record) => isWithin(record, span));
  return { table, trace, records, operations };
}

/** Several changes in one second are one line. */
function addLine(trace: TraceLine[], utc: UtcSeconds, levels: Uint8Array): void {
  const line = { utc, levels: Uint8Array.from(levels) };
  if (itemAt(trace, trace.length - 1).utc === utc) trace[trace.length - 1] = line;
  else trace.push(line);
}

/** Whether a record tells of the span, and not of the start before it. */
function isWithin(record: LogRecord, { first, from }: SimulatedSpan): boolean {
  return record.type === 'light' || record.type === 'proof' ? record.day >= first : record.time >= from;
}

/** Whole records in the log memory, each once, in order. */
function recordsIn(log: Uint8Array): LogRecord[] {
  const found = new Map<number, LogRecord>();
  for (let at = 0; at < log.length; at += RECORD_BYTES) {
    const record = decodeRecord(log.subarray(at, at + RECORD_BYTES));
    if (record) found.set(record.sequence, record);
  }
  return [...found.values()].sort((a, b) => a.sequence - b.sequence);
}

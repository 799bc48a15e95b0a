/** The log on the terminal: one line a record, the newest last. */

import { offsetsOfTable } from '../../../compiler/plan/table-offsets.ts';
import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { itemAt } from '../../../shared/assert.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import type { LogReading, RawRecord } from '../../answers/log/reading.ts';
import type { Controller } from '../../link/controller.ts';
import { recordTime, recordWords, setMeanwhile } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import type { Names } from '../../words/names.ts';
import { face } from '../face.ts';

/** The offsets by which the controller itself tells civil days. */
export async function offsetsOn(controller: Controller): Promise<UtcOffsets> {
  const bytes = await controller.readRunningTable();
  const decoded = bytes && decodeTable(bytes);
  return offsetsOfTable(decoded?.ok ? decoded.table : undefined);
}

/** Prints the newest `last` records of a reading. */
export function printReading(reading: LogReading, offsets: UtcOffsets, names: Names, last: number): void {
  if (reading.records.length === 0)
    face.say(reading.newest === 0 ? 'The log is empty.' : 'There is nothing newer in the log.');
  const shown = reading.records.slice(-last);
  printRecords(shown, offsets, names, reading.records);
  if (shown.length < reading.records.length) {
    face.remark(`These are the newest ${shown.length} of ${reading.records.length}; --last 1000 shows more.`);
  }
}

/** Prints records, a line each; `all` are those that they are the last of. */
export function printRecords(
  records: readonly RawRecord[],
  offsets: UtcOffsets,
  names: Names,
  all: readonly RawRecord[] = records,
): void {
  const whole = all.map((one) => one.record);
  for (const [i, { sequence, record }] of records.entries()) {
    const forward = setMeanwhile(whole, whole.length - records.length + i);
    face.say(
      `${String(sequence).padStart(6)}  ${recordTime(record, offsets).padEnd(16)}  ${recordWords(record, names, forward)}`,
    );
  }
}

/** Which records are not there. */
export function missingWords({ missing }: LogReading): string {
  const first = itemAt(missing, 0);
  const end = itemAt(missing, missing.length - 1);
  const which =
    missing.length > 6
      ? `${missing.length} records between ${first} and ${end}`
      : `record ${list(missing.map(String))}`;
  return `Not there any more, or damaged: ${which}.`;
}

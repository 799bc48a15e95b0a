import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { openSchedule, targetsAt } from '../../../firmware-sim/schedule.ts';
import { sure } from '../../../shared/assert.ts';
import { decodeRecord } from '../../../shared/log.ts';
import { hex, logVectors, scheduleVectors, VECTOR_FILES, vectorText } from './vectors.ts';

const bytesOf = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text, 'hex'));

describe('the shared vectors', () => {
  it.each(Object.keys(VECTOR_FILES))('%s is what is written today', (name) => {
    const stored = readFileSync(new URL(`../../../shared/vectors/${name}`, import.meta.url), 'utf8');
    // When this differs on purpose: node tests/support/run-ts.js tests/firmware-sim/controller/write-vectors.ts
    expect(vectorText(sure(VECTOR_FILES[name])()) === stored).toBe(true);
  });

  it("hold the controller's evaluation to the naive evaluator's levels", () => {
    for (const { table, levels } of scheduleVectors().tables) {
      const schedule = sure(openSchedule(bytesOf(table)));
      expect(levels.map(([utc]) => [utc, hex(targetsAt(schedule, utc))])).toEqual(levels);
    }
  });

  it('hold records to their bytes', () => {
    for (const { record, bytes } of logVectors().records)
      expect(decodeRecord(bytesOf(bytes))).toEqual(record);
  });
});

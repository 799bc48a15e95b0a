/** The words for what a controller wrote down. */

import { describe, expect, it } from 'vitest';
import { FAULT, type LogRecord } from '../../../shared/log.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { recordWords } from '../../../src/words/controller.ts';
import { NO_NAMES } from '../../../src/words/names.ts';

const NOON = utcSeconds(840_000_000);

function fault(more: { entered: number; detail: number; fault?: number }): LogRecord {
  return {
    sequence: 1,
    partial: false,
    estimated: false,
    type: 'fault',
    time: NOON,
    fault: FAULT.logMissing,
    ...more,
  };
}

describe('a fault in words', () => {
  it('that is over says how long it lasted', () => {
    expect(recordWords(fault({ entered: 0, detail: NOON - 6060 }), NO_NAMES)).toBe(
      'fault over: the log memory does not answer (lasted 1 h 41 min)',
    );
  });

  it('says no length where it was under a minute, or began before the time was known', () => {
    for (const detail of [NOON - 59, NOON, NOON + 100, 4000]) {
      expect(recordWords(fault({ entered: 0, detail }), NO_NAMES)).toBe(
        'fault over: the log memory does not answer',
      );
    }
  });

  it('that begins says what was measured', () => {
    expect(recordWords(fault({ entered: 1, detail: 4300, fault: FAULT.supplyLow }), NO_NAMES)).toBe(
      'fault: the supply is low (4300 mV)',
    );
  });
});

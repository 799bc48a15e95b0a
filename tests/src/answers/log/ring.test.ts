/** The day by which a log must be read, against the day on which a simulated controller's ring truly wraps. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { RING_RECORDS } from '../../../../shared/log.ts';
import { fullWords, readBy, readByWords } from '../../../../src/answers/log/ring.ts';
import { SimWorld } from '../review/world.ts';
import { boards, day, planOf, sampleText } from '../visits/plan.ts';

const DAY = 86_400;
const FIRST = day('2026-02-16');

it('comes some days before the ring of a controller that nobody answers writes over its first record', () => {
  const text = sampleText('pantry');
  const table = itemAt(compilePlan(text, { boards }).tables, 0).encoded.bytes;
  const world = new SimWorld(table, FIRST * DAY);
  let wraps = FIRST as number;
  while (Math.max(0, ...world.read.keys()) <= RING_RECORDS) {
    wraps += 1;
    world.runTo(wraps * DAY + 7200);
    world.readLog();
  }
  const plan = planOf(text);
  const by = readBy(plan, visitOccurrences(plan), { controller: 0, unread: 0, on: FIRST });
  expect(wraps - by).toBeGreaterThan(3);
  expect(wraps - by).toBeLessThan(21);
  // What was unread already brings it nearer: 50 records are three weeks and more.
  const sooner = readBy(plan, visitOccurrences(plan), { controller: 0, unread: 50, on: FIRST });
  expect(by - sooner).toBeGreaterThan(14);
  expect(readByWords('pantry', by, FIRST)).toContain(`by ${isoDate(by)}`);
  expect(readByWords('pantry', FIRST, by)).toContain('now');
});

it('says how full the ring is, and when it writes over', () => {
  expect(fullWords(1, 60)).toBe('60 of 240, 25 % full');
  expect(fullWords(64, 303)).toContain('writes over the oldest');
});

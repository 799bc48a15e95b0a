/** A plan is told to be changed and not flashed for what it changes, not for the day on which it is asked. */

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { isoDate, unixMsFromUtc } from '../../../shared/civil.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { flashedCrc } from '../../../src/archive/flashed.ts';
import { behindPlan } from '../../../src/jobs/behind.ts';
import { BOARDS as boards, samplePlan } from '../../support/boards.ts';

const DAY = 86_400;
let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-behind-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The pantry with so many days away that not all reminders fit on its board. */
function crowded(): string {
  const away = Array.from({ length: 22 }, (_, i) => {
    const from = 9543 + 30 + 5 * i + (i % 3);
    return `[${isoDate(civilDay(from))}, ${isoDate(civilDay(from + 1 + (i % 2)))}]`;
  });
  return samplePlan('pantry').replace('visits:\n', `visits:\n  away: [${away.join(', ')}]\n  most: 2 bags\n`);
}

/** What is told on a later day of a board flashed with the crowded plan, when the file says `text` by then. */
async function told(text: string, daysLater: number, keepsPlan: boolean): Promise<string | undefined> {
  const { plan, tables } = compilePlan(crowded(), { boards, advise: false });
  const { encoded, remindersUntil } = itemAt(tables, 0);
  expect(remindersUntil).toBeDefined();
  const sealed = itemAt(sure(plan).batches, 0).sealed;
  const path = join(folder, 'rack.plan.yaml');
  writeFileSync(path, text);
  const planText = keepsPlan ? crowded() : undefined;
  const storedMs = unixMsFromUtc(utcSeconds(sealed * DAY));
  const flashed = { crc: flashedCrc(encoded.bytes), bytes: encoded.bytes, planText, storedMs };
  const now = utcSeconds((sealed + daysLater) * DAY + 43_200);
  return behindPlan(path, { controller: 0, bytes: encoded.bytes, flashed }, now);
}

it.each([true, false])(
  'nothing is told of a plan that only a comment changed (plan kept: %s)',
  async (kept) => {
    for (const later of [1, 20, 45, 60])
      expect(await told(`${crowded()}# later\n`, later, kept)).toBeUndefined();
  },
);

it('a lift moved to another hour is told', async () => {
  const moved = crowded().replace('lift: { every: 3 d, at: 18:00 }', 'lift: { every: 3 d, at: 17:00 }');
  expect(moved).not.toBe(crowded());
  expect(await told(moved, 20, true)).toContain('the board runs the table of 2026-02-16');
});

it('a batch that was ended meanwhile is told as that, also once it is over', async () => {
  const ended = crowded().replace(
    ', bag: tall, regime: antler }',
    ', ended: 2026-05-25, bag: tall, regime: antler }',
  );
  expect(ended).not.toBe(crowded());
  const words = await told(ended, 100, true);
  expect(words).toContain('ripen lasts 7 d (early)');
  expect(words).not.toContain('out of the plan');
});

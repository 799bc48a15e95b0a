/** What the machine code shows on its pins over the pantry plan, against what the table asks for. */

import { expect } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { traceTable } from '../../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { dayFromIso } from '../../../../shared/civil.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { chip } from './chip.ts';

const DAY = 86_400;
const SECOND = 1_000_000;

const { bytes } = itemAt(compilePlan(samplePlan('pantry'), { boards: BOARDS }).tables, 0).encoded;

const line = (utc: number, levels: Iterable<number>): string =>
  `${utc} ${Array.from(levels, (level) => level.toString(16).padStart(2, '0')).join('.')}`;

/** Changes the table asks for after the outputs' wait is over. */
function asked(from: number, until: number): string[] {
  return [...traceTable(bytes, from, until)].map(({ utc, levels }) => line(utc, levels));
}

/** Changes on the pins of a chip that has run since `from` minus a minute. */
function shown(from: number, until: number): string[] {
  const device = chip({ utc: utcSeconds(from - 60), table: bytes });
  device.run(60 * SECOND - 1);
  const lines = [line(from, device.levels)];
  const bySecond = new Map<number, string>();
  // A pin moves milliseconds after its second began; the emulated program is never a second late.
  device.onLevels = (utc, levels) => bySecond.set(utc, line(utc, levels));
  device.run((until - (from - 60)) * SECOND - 1);
  if (bySecond.has(from)) lines.length = 0;
  return [...lines, ...bySecond.values()];
}

const midnight = (date: string): number => sure(dayFromIso(date)) * DAY;

/** Twelve days on which something changes. */
export const NAMED_DAYS: readonly [string, string][] = [
  ['2026-02-16', 'the first bags are sealed'],
  ['2026-03-16', 'zones A and C wake'],
  ['2026-03-29', 'summer time begins'],
  ['2026-03-30', 'zones A and C climb'],
  ['2026-04-02', 'the first lift'],
  ['2026-04-06', 'a turn of A and C, zones B and D wake'],
  ['2026-04-13', 'the next turn'],
  ['2026-04-20', 'zones B and D climb'],
  ['2026-05-17', 'the harvest of A and C opens'],
  ['2026-05-18', 'zones A and C ripen'],
  ['2026-06-08', 'zones A and C end, B and D ripen'],
  ['2026-06-29', 'all is dark again'],
];

/** Holds the pins of one day to the table. */
export function showDay(date: string, what: string): void {
  // Nothing switches at night, but the clock.
  const from = midnight(date) + (what.includes('time') ? 0 : 6.5 * 3600);
  const until = midnight(date) + 20 * 3600;
  expect(shown(from, until)).toEqual(asked(from, until));
}

/** Holds the pins of whole days on end to the table. */
export function showDays(date: string, days: number): void {
  const from = midnight(date);
  expect(shown(from, from + days * DAY)).toEqual(asked(from, from + days * DAY));
}

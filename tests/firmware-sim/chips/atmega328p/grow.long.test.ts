/**
 * The pantry plan's grow on the machine code: every change of every pin is the
 * one the table asks for, over stretches of days round the changes of the first batch's stages;
 * LEANWARD_GROW=whole runs every day (an emulated day costs some seconds).
 */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { planDays } from '../../../../compiler/plan/on-a-day.ts';
import { traceTable } from '../../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { chip } from './chip.ts';

const DAY = 86_400;
const SECOND = 1_000_000;

const { plan, tables } = compilePlan(samplePlan('pantry'), { boards: BOARDS });
const { bytes } = itemAt(tables, 0).encoded;

/** Hours before the midnight of UTC: every zone's own midnight of that day is within the stretch. */
const EARLY = 6;
/** Hours after it: the light of the day has begun. */
const LATE = 12;

/** Seconds of UTC from which to which the grow is run: from the evening before every beginning of the first batch's stages, and before the end, to noon, or whole. */
function stretches(): { from: number; until: number }[] {
  const { first, end } = sure(planDays(sure(plan)));
  if (process.env.LEANWARD_GROW === 'whole') return [{ from: (first - 1) * DAY, until: (end + 1) * DAY }];
  const begins = itemAt(sure(plan).batches, 0).zones.flatMap(({ stages }) => stages.map(({ from }) => from));
  return [...new Set<number>([...begins, end])]
    .sort((a, b) => a - b)
    .map((day) => ({ from: day * DAY - EARLY * 3600, until: day * DAY + LATE * 3600 }));
}

const line = (utc: number, levels: Uint8Array): string => `${utc} ${[...levels].join('.')}`;

it.each(stretches())(
  'the pins of the chip show the pantry grow from $from until $until',
  ({ from, until }) => {
    const device = chip({ utc: utcSeconds(from - 60), table: bytes });
    device.run(60 * SECOND - 1);
    const shown = new Map<number, string>();
    device.onLevels = (utc, levels) => shown.set(utc, line(utc, levels));
    device.run((until - (from - 60)) * SECOND - 1);
    const asked = [...traceTable(bytes, from, until)].slice(1).map(({ utc, levels }) => line(utc, levels));
    expect([...shown.values()]).toEqual(asked);
    expect(device.machine.eeprom.mistakes).toBe(0);
  },
);

it('the stretches see many changes', () => {
  const changes = stretches().flatMap(({ from, until }) => [...traceTable(bytes, from, until)]);
  expect(changes.length).toBeGreaterThan(20);
});

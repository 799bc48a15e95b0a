/** The pantry plan's whole grow on the machine code: every change of every pin is the one the table asks for. */

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

const line = (utc: number, levels: Uint8Array): string => `${utc} ${[...levels].join('.')}`;

it('the pins of the chip show the whole pantry grow', () => {
  const { plan, tables } = compilePlan(samplePlan('pantry'), { boards: BOARDS });
  const { first, end } = sure(planDays(sure(plan)));
  const { bytes } = itemAt(tables, 0).encoded;
  const [from, until] = [(first - 1) * DAY, (end + 1) * DAY];
  const device = chip({ utc: utcSeconds(from - 60), table: bytes });
  device.run(60 * SECOND - 1);
  const shown = new Map<number, string>();
  device.onLevels = (utc, levels) => shown.set(utc, line(utc, levels));
  device.run((until - (from - 60)) * SECOND - 1);
  const asked = [...traceTable(bytes, from, until)].slice(1).map(({ utc, levels }) => line(utc, levels));
  expect([...shown.values()]).toEqual(asked);
  expect(asked.length).toBeGreaterThan(500);
  expect(device.machine.eeprom.mistakes).toBe(0);
});

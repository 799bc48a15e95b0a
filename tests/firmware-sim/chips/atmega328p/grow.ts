/**
 * The longer run (`npm run test:long`): the pantry plan's whole grow on the
 * machine code, every change of every pin compared with the table.
 */

import { compilePlan } from '../../../../compiler/compile.ts';
import { planDays } from '../../../../compiler/timeline/demands.ts';
import { traceTable } from '../../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { isoInstant } from '../../../../shared/civil.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { chip } from './chip.ts';

const DAY = 86_400;
const SECOND = 1_000_000;

const { plan, tables } = compilePlan(samplePlan('pantry'), { boards: BOARDS });
const { first, end } = sure(planDays(sure(plan)));
const { bytes } = itemAt(tables, 0).encoded;
const [from, until] = [(first - 1) * DAY, (end + 1) * DAY];

const device = chip({ utc: utcSeconds(from - 60), table: bytes });
device.run(60 * SECOND - 1);
const seconds = new Map<number, string>();
device.onLevels = (utc, levels) => seconds.set(utc, [...levels].join('.'));
const began = performance.now();
for (let day = from; day < until; day += DAY) {
  device.run((Math.min(day + DAY, until) - (from - 60)) * SECOND - 1);
  const gone = Math.round((performance.now() - began) / 1000);
  console.log(`${isoInstant(utcSeconds(day)).slice(0, 10)}  ${seconds.size} changes, ${gone} s`);
}
const asked = [...traceTable(bytes, from, until)]
  .slice(1)
  .map(({ utc, levels }) => `${utc} ${[...levels].join('.')}`);
const shown = [...seconds].map(([utc, levels]) => `${utc} ${levels}`);
const differs = asked.findIndex((line, index) => line !== shown[index]);
if (differs >= 0 || asked.length !== shown.length) {
  console.log(
    `differs: asked ${asked[differs]}, shown ${shown[differs]}; ${asked.length} and ${shown.length} changes`,
  );
  process.exitCode = 1;
} else console.log(`${asked.length} changes over ${(until - from) / DAY} days, all as the table asks`);
if (device.machine.eeprom.mistakes > 0) process.exitCode = 1;

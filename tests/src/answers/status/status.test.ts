/** What `status` says of a clock and a table whose plan is over, and what it does not say beside it. */

import { beforeAll, describe, expect, it } from 'vitest';
import { Happenings } from '../../../../firmware-sim/happenings.ts';
import { type UtcSeconds, utcSeconds } from '../../../../shared/units.ts';
import type { Status } from '../../../../src/answers/status/status.ts';
import { type AgainstPlan, statusLines } from '../../../../src/answers/status/text.ts';
import { Controller } from '../../../../src/link/controller.ts';
import { virtualLink } from '../../../../src/virtual/binding.ts';
import { NO_NAMES } from '../../../../src/words/names.ts';
import { DAILY, DAY, flash, START, startedDevice } from '../../../firmware-sim/controller/host.ts';

let status: Status;
beforeAll(async () => {
  const device = startedDevice();
  flash(device, DAILY);
  device.run(DAY * 1e6);
  const link = virtualLink(new Happenings(device));
  const port = { path: 'test', baudRate: 38_400, binding: link.binding, pace: link.pace, virtual: true };
  const controller = await Controller.open({ ...port, remarks: () => [], finish: () => undefined }, 1);
  status = await controller.status();
  await controller.close();
});

const BOARD = { number: 1, id: 'mega328-relay8', title: 'Board', outputs: 8, supplyNeeded: 4_500 };

/** Lines about clock and table when so many days have passed, at a clock that agrees with this computer's. */
function told(days: number, plan?: AgainstPlan): { clock: string; table: string } {
  const seconds: UtcSeconds = utcSeconds(START + days * DAY);
  const lines = statusLines(
    {
      ...{ status: { ...status, time: { ...status.time, seconds, sub: 0 } }, host: { seconds, sub: 0 } },
      ...{
        board: BOARD,
        revision: '1',
        unit: 1,
        path: 'test',
      },
      ...{ table: DAILY, ...(plan ? { plan } : {}) },
    },
    NO_NAMES,
  );
  const line = (name: string): string => lines.find((one) => one.startsWith(name)) ?? '';
  return { clock: line('Clock'), table: line('Table') };
}

const against = (quarters: number): AgainstPlan => ({
  ...{ quarters, behind: undefined, remindersUntil: undefined, unread: undefined },
});

describe('a clock', () => {
  it('is right while its table goes on', () => {
    expect(told(100).clock).toMatch(/, right$/);
    expect(told(100).table).not.toContain('ended');
    expect(told(100, against(status.time.quarters)).clock).toMatch(/, right$/);
  });

  it('is not right when its table does not know that the clocks at the place changed', () => {
    const { clock } = told(260, against(status.time.quarters + 4));
    expect(clock).toContain('1 h behind the clocks at the place');
    expect(clock).toContain('flash again');
    expect(clock).not.toContain('right');
  });

  it('of a controller that was never flashed is told in UTC, and nothing of a table that it has not', () => {
    const seconds = status.time.seconds;
    const time = { ...status.time, quarters: 0, sub: 0 };
    const lines = statusLines(
      {
        ...{ status: { ...status, time }, host: { seconds, sub: 0 }, table: undefined, plan: against(-28) },
        ...{ board: BOARD, revision: '1', unit: 1, path: 'test' },
      },
      NO_NAMES,
    );
    const clock = lines.find((line) => line.startsWith('Clock'));
    expect(clock).toMatch(/, in UTC: it learns the clocks of the place when it is flashed$/);
  });

  it('without a plan is told in UTC, not right, once its table is over, and the table that it has ended', () => {
    const { clock, table } = told(260);
    expect(clock).toContain('in UTC, but its table ends on ');
    expect(clock).not.toContain('right');
    expect(table).toContain('; its plan has ended: no light after ');
    expect(table).not.toContain('right');
  });

  it('beside a plan that ended both are told', () => {
    const { clock, table } = told(260, against(status.time.quarters - 4));
    expect(clock).toContain('1 h ahead of the clocks at the place');
    expect(clock).not.toContain('right');
    expect(table).toContain('its plan has ended');
  });
});

/**
 * Whether this computer's clock is fit to be given to a controller. A laptop
 * that lay in a drawer, or a small computer without a battery, wakes in the past.
 *
 * Always holds: a controller whose clock is right is set by a large step only
 * when someone agreed to it, and never to a time before this program was made.
 */

import { SMALL_STEP_SECONDS } from '../../shared/behaviour.ts';
import { isoInstant } from '../../shared/civil.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import { Failure, usage } from '../failure.ts';
import type { Controller } from '../link/controller.ts';
import { readLog } from '../link/read-log.ts';
import { lengthWords } from '../words/lengths.ts';
import { face } from './face.ts';

/** 2026-01-01: no computer that runs this release has an earlier date. Raised with each year's first release. */
const RELEASED = utcSeconds(820_540_800);
const DAY = 86_400;

export interface ClockOptions {
  readonly stepClock?: boolean;
  readonly json?: boolean;
}

/** Name of the option and its help, the same for every command that sets a clock. */
export const STEP_CLOCK_OPTION = [
  '--step-clock',
  "set the controller's clock to this computer's even by a large step, or back before its newest record",
] as const;

/** Throws Failure unless the controller's clock may be set to this computer's; asks where someone sits. */
export async function agreeOnClock(controller: Controller, options: ClockOptions): Promise<void> {
  const { seconds: host } = controller.pace.now();
  if (!controller.port.virtual && host < RELEASED) throw beforeRelease(host);
  const { time } = await controller.status();
  if (!time.known || time.estimated || options.stepClock) return;
  const newest = await newestRecord(controller);
  if (newest !== undefined && host + SMALL_STEP_SECONDS < newest) throw beforeRecord(host, newest);
  const step = host - time.seconds;
  if (Math.abs(step) <= SMALL_STEP_SECONDS) return;
  await agreeToStep(time.seconds, host, options);
}

/** The time of the newest record; undefined when there is none that was written in right time. */
async function newestRecord(controller: Controller): Promise<number | undefined> {
  const { logNewest } = await controller.status();
  if (logNewest === 0) return undefined;
  const record = (await readLog(controller, logNewest - 1)).records.at(-1)?.record;
  if (record === undefined || record.estimated) return undefined;
  return 'time' in record ? record.time : record.day * DAY;
}

const UNCHANGED = 'Nothing was changed on the controller.';

function beforeRelease(host: UtcSeconds): Failure {
  return usage(
    `This computer's clock says ${isoInstant(host)}, which was before this Leanward was made. ${UNCHANGED}`,
    "Set this computer's clock, then run the command again.",
  );
}

function beforeRecord(host: UtcSeconds, newest: number): Failure {
  return new Failure(
    'usage',
    `This computer's clock says ${isoInstant(host)}, but the controller's newest record is of ` +
      `${isoInstant(utcSeconds(newest))}: one of the two clocks is wrong. ${UNCHANGED}`,
    {
      hint: "Set this computer's clock. If it is the controller's that is wrong, add --step-clock.",
      reason: 'clock wrong',
    },
  );
}

async function agreeToStep(from: UtcSeconds, to: UtcSeconds, { json }: ClockOptions): Promise<void> {
  const length = lengthWords(Math.abs(to - from) / 60);
  const words = `The controller's clock would jump by ${length}, from ${isoInstant(from)} to ${isoInstant(to)}.`;
  if (face.canAsk() && !json) {
    face.remark(words);
    if (await face.askYes("Is this computer's clock the right one?")) return;
    throw usage(UNCHANGED);
  }
  throw new Failure('usage', `${words} ${UNCHANGED}`, {
    hint: "If this computer's clock is right, add --step-clock.",
    reason: 'clock step',
  });
}

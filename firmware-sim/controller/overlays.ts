/**
 * Hand switching and work light: overlays that end by themselves.
 *
 * Always holds: an overlay of an output covers [begin, end); each is logged
 * when it begins and when it ends, however often it is asked for meanwhile.
 */

import { itemAt } from '../../shared/assert.ts';
import { HAND_END } from '../../shared/log.ts';
import { utcSeconds } from '../../shared/units.ts';
import { appendRecord } from './log-ring.ts';
import type { Retained, SimulatedController } from './state.ts';

const WORK_LIGHT_SECONDS = 600;
const FULL = 0xff;

/** Level that an overlay asks of output index `index` at `t`, or undefined. */
export function overlayLevel(controller: SimulatedController, index: number, t: number): number | undefined {
  const { hand, work } = controller.state.retained;
  const own = itemAt(hand, index);
  if (t >= own.begin && t < own.end) return own.level;
  const lit = t >= work.begin + index && t < work.end + index;
  return lit && workOutputs(controller) & (1 << index) ? FULL : undefined;
}

/** The outputs that the work light lights. */
function workOutputs(controller: SimulatedController): number {
  return controller.schedule ? controller.schedule.outputs : (1 << controller.board.outputs) - 1;
}

export const isWorkLight = ({ retained }: SimulatedController['state']): boolean =>
  retained.work.end > retained.last;

/** Outputs under hand switching, also those whose turn is still to come. */
export function handOutputs({ hand, last }: Retained): number {
  return hand.reduce((mask, own, index) => mask | (own.end > last ? 1 << index : 0), 0);
}

/** Switches the outputs of `which` by hand, on where `on` has them, for the minutes set. What has them so already only lasts longer. */
export function switchByHand(
  controller: SimulatedController,
  which: number,
  on: number,
  staggered: boolean,
): void {
  const { retained } = controller.state;
  const { last, hand, handMinutes, released } = retained;
  let fresh = 0;
  for (let index = 0; index < controller.board.outputs; index++) {
    const bit = 1 << index;
    if ((which & bit) === 0) continue;
    const own = itemAt(hand, index);
    const level = on & bit ? FULL : 0;
    const begin = last + (staggered ? index : 0);
    const end = begin + 60 * handMinutes;
    if (own.end > last && own.level === level && (released & bit) === 0) own.end = end;
    else {
      hand[index] = { begin, end, level };
      fresh |= bit;
    }
  }
  retained.released &= ~fresh;
  logHand(controller, fresh & on, FULL, staggered);
  logHand(controller, fresh & ~on, 0, staggered);
}

function logHand(controller: SimulatedController, outputs: number, level: number, staggered: boolean): void {
  const { last, handMinutes: minutes } = controller.state.retained;
  if (outputs === 0) return;
  const time = utcSeconds(last);
  appendRecord(controller, { type: 'hand', time, outputs, level, minutes, staggered: staggered ? 1 : 0 });
}

/** Lets go of all hand switching, output after output. */
export function releaseHand(controller: SimulatedController): void {
  const { retained } = controller.state;
  const which = handOutputs(retained) & ~retained.released;
  retained.hand.forEach((own, index) => {
    own.end = Math.min(own.end, retained.last + index);
  });
  retained.released |= which;
  logHandEnd(controller, which, HAND_END.released);
}

function logHandEnd(controller: SimulatedController, outputs: number, why: number): void {
  if (outputs === 0) return;
  appendRecord(controller, {
    type: 'handEnd',
    time: utcSeconds(controller.state.retained.last),
    outputs,
    why,
  });
}

/** Begins the work light, or lengthens it. */
export function beginWorkLight(controller: SimulatedController): void {
  const { retained } = controller.state;
  const end = retained.last + WORK_LIGHT_SECONDS;
  if (isWorkLight(controller.state)) retained.work.end = end;
  else retained.work = { begin: retained.last, end, level: FULL };
  retained.workOpen = true;
  logWork(controller, 1, WORK_LIGHT_SECONDS);
}

/** Ends the work light, output after output. */
export function endWorkLight(controller: SimulatedController): void {
  const { retained } = controller.state;
  if (!isWorkLight(controller.state)) return;
  retained.work.end = retained.last;
  endOfWork(controller);
}

function endOfWork(controller: SimulatedController): void {
  controller.state.retained.workOpen = false;
  logWork(controller, 0, 0);
}

function logWork(controller: SimulatedController, begins: number, seconds: number): void {
  const time = utcSeconds(controller.state.retained.last);
  appendRecord(controller, { type: 'workLight', time, begins, seconds });
}

/** Logs the overlays that end at the second being processed. */
export function endOverlays(controller: SimulatedController): void {
  const { retained } = controller.state;
  let ended = 0;
  retained.hand.forEach((own, index) => {
    if (own.end === 0 || own.end > retained.last) return;
    own.end = 0;
    if ((retained.released & (1 << index)) === 0) ended |= 1 << index;
    retained.released &= ~(1 << index);
  });
  logHandEnd(controller, ended, HAND_END.ranOut);
  if (retained.workOpen && retained.work.end <= retained.last) endOfWork(controller);
}

/** The next second after the last at which an overlay begins or ends for any output. */
export function nextOverlayEdge({ hand, work, last }: Retained): number {
  let next = Number.POSITIVE_INFINITY;
  const consider = (edge: number): void => {
    if (edge > last) next = Math.min(next, edge);
  };
  hand.forEach((own, index) => {
    if (own.end > 0) {
      consider(own.begin);
      consider(own.end);
    }
    consider(work.begin + index);
    consider(work.end + index);
  });
  return next;
}

/** Moves all overlays by `by` seconds. */
export function moveOverlays({ hand, work }: Retained, by: number): void {
  for (const own of [...hand, work]) {
    if (own.end === 0) continue;
    own.begin += by;
    own.end += by;
  }
}

/** Seconds left of the longest overlay. */
export function overlaySecondsLeft({ hand, work, last }: Retained): number {
  return Math.max(0, ...hand.map((own) => own.end - last), work.end - last);
}

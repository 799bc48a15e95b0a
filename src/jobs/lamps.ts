/**
 * Lights each lamp of a controller in turn, so that someone in front of the
 * rack sees whether the plan names it rightly.
 *
 * Always holds: every output switched here is released again, whatever happens;
 * if even that fails, hand switching ends by itself.
 */

import type { Controller } from '../link/controller.ts';
import { list } from '../words/lists.ts';
import type { Names } from '../words/names.ts';
import { face } from './face.ts';

/** Longest that a lamp stays lit when nobody answers. */
const HAND_MINUTES = 10;
/** How long each is lit when nobody is asked. */
const SHOW_MS = 3000;
/** Outputs wait after a restart and keep a dwell between switchings. */
const LIT_LIMIT_MS = 20_000;
const LOOK_EVERY_MS = 500;

export type LampVerdict = 'right' | 'wrong' | 'not asked' | 'did not light';

export interface ShownLamp {
  readonly output: number;
  readonly lamps: readonly string[];
  readonly verdict: LampVerdict;
}

/** Lights the lamps of each output in turn; asks about each when `asking`. */
export async function showLamps(
  controller: Controller,
  names: Names,
  asking: boolean,
): Promise<readonly ShownLamp[]> {
  const shown: ShownLamp[] = [];
  const { handMinutes } = await controller.status();
  await controller.setHandMinutes(HAND_MINUTES);
  try {
    for (let output = 1; output <= controller.board.outputs; output++) {
      const lamps = names.outputs[output - 1] ?? [];
      if (names.outputs.length > 0 && lamps.length === 0) continue;
      shown.push({ output, lamps, verdict: await showOne(controller, output, lamps, asking) });
    }
  } finally {
    await controller.setHandMinutes(0);
    await controller.setHandMinutes(handMinutes);
  }
  return shown;
}

async function showOne(
  controller: Controller,
  output: number,
  lamps: readonly string[],
  asking: boolean,
): Promise<LampVerdict> {
  const name = lamps.length > 0 ? list(lamps) : 'this output';
  await controller.hand(output, true);
  try {
    if (!(await waitUntilOn(controller, output))) return 'did not light';
    if (!asking) {
      face.remark(`Output ${output}: ${name}`);
      await controller.pace.wait(SHOW_MS);
      return 'not asked';
    }
    return await askAbout(output, name);
  } finally {
    await controller.hand(output, false);
  }
}

async function askAbout(output: number, name: string): Promise<LampVerdict> {
  for (;;) {
    const answer = await face.ask(
      `Output ${output} is on. Is it ${name} that is lit, and nothing else changed? [y/n] `,
    );
    if (/^y(es)?$/i.test(answer)) return 'right';
    if (/^no?$/i.test(answer)) return 'wrong';
  }
}

async function waitUntilOn(controller: Controller, output: number): Promise<boolean> {
  for (let waited = 0; waited < LIT_LIMIT_MS; waited += LOOK_EVERY_MS) {
    if (((await controller.status()).levels[output - 1] ?? 0) > 0) return true;
    await controller.pace.wait(LOOK_EVERY_MS);
  }
  return false;
}

/** After the first flash: offers to go through the lamps now. */
export async function offerLamps(
  controller: Controller,
  names: Names,
  { json, yes }: { readonly json?: boolean; readonly yes?: boolean },
): Promise<void> {
  if (json) return;
  if (yes || !face.canAsk()) {
    face.say(
      'This was its first flash: check that each lamp is the one the plan means, with leanward lamps.',
    );
    return;
  }
  if (
    await face.askYes(
      'This was its first flash. Light each lamp in turn now, to see that it is the right one?',
    )
  ) {
    for (const line of verdictLines(await showLamps(controller, names, true))) face.say(line);
  }
}

/** The result in lines, and what to do about it. */
export function verdictLines(shown: readonly ShownLamp[]): string[] {
  const bad = shown.filter(({ verdict }) => verdict === 'wrong' || verdict === 'did not light');
  if (bad.length === 0) {
    const asked = shown.some(({ verdict }) => verdict === 'right');
    return [asked ? 'Every lamp is the right one.' : `${shown.length} outputs were lit, each in turn.`];
  }
  return [
    ...bad.map(
      ({ output, lamps, verdict }) =>
        `Output ${output} (${list(lamps)}): ${verdict === 'wrong' ? 'not the right lamp' : 'did not switch on'}.`,
    ),
    'Change the output numbers in the plan, or have the wires changed with the mains off, then flash and look again.',
  ];
}

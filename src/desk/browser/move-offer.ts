/**
 * A move of single bags as it is being chosen: the bag that is picked, and what
 * a move that was asked for would write.
 *
 * Always holds: both are of the plan that is open; what is offered is asked
 * anew when something else was written into the book.
 */

import { computed, effect, signal } from '@preact/signals';
import type { Press, Pressed } from '../wire-book.ts';
import { askWouldMove } from './api.ts';
import { doPress, eveningFault, isPressing, pressed, tellRefused } from './evening-state.ts';
import { bookTold, planText } from './state.ts';

export type Move = Pick<Press, 'bags' | 'to' | 'swap'>;

interface Offered {
  /** The plan's name. */
  readonly plan: string;
  readonly move: Move;
  readonly would: Pressed;
}

/** The place whose bag is picked. */
export const pickedPlace = signal<string | undefined>(undefined);

const latest = signal<Offered | undefined>(undefined);
/** A move that was asked for, with what it would write. */
export const moveOffered = computed(() =>
  latest.value?.plan === planText.value?.name ? latest.value : undefined,
);

let asked = 0;

/** Asks what a move would write; a refusal is told in the command's words. */
export async function askMove(move: Move): Promise<void> {
  latest.value = undefined;
  pressed.value = undefined;
  eveningFault.value = undefined;
  await askAgain(move);
}

async function askAgain(move: Move): Promise<void> {
  const plan = planText.peek()?.name;
  if (plan === undefined) return;
  asked += 1;
  const own = asked;
  try {
    const would = await askWouldMove(plan, move);
    if (own === asked) latest.value = { plan, move, would };
  } catch (error) {
    if (own !== asked) return;
    latest.value = undefined;
    tellRefused(error);
  }
}

/** Lets go of the bag, and of what is offered. */
export function leave(): void {
  asked += 1;
  latest.value = undefined;
  pickedPlace.value = undefined;
}

export async function carryOut(move: Move): Promise<void> {
  if (await doPress('move', move)) leave();
}

let planShown: string | undefined;
effect(() => {
  const name = planText.value?.name;
  if (name !== planShown) leave();
  planShown = name;
});

effect(() => {
  if (bookTold.value === 0) return;
  const stands = moveOffered.peek();
  // While it is being carried out, the book is told of the move itself.
  if (stands && !isPressing.peek()) void askAgain(stands.move);
});

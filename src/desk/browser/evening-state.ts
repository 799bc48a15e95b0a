/**
 * The evening as the page knows it: asked anew when it is looked at, after each
 * press in any window, when a program wrote into the archive or the plan, and
 * when somebody comes back to the window.
 *
 * Always holds: an answer is shown only of the plan that is open.
 */

import { effect, signal } from '@preact/signals';
import type { Evening, Press, PressAct, Pressed } from '../wire-book.ts';
import { askEvening, sendPress } from './api.ts';
import { bookTold, isMovingBags, isThere, pane, planText } from './state.ts';

export const evening = signal<Evening | undefined>(undefined);
/** Why there is no evening to be shown, or why a press was refused. */
export const eveningFault = signal<string | undefined>(undefined);
/** What came of the last press. */
export const pressed = signal<Pressed | undefined>(undefined);
/** The visit that was answered last; one that was overdue leaves the list with its answer. */
export const answered = signal<Pick<Press, 'place' | 'kind'> | undefined>(undefined);
/** A press is under way. */
export const isPressing = signal(false);
/** Names of the bags that the form is about. */
export const bagsMeant = signal('');
/** The bag whose history is shown. */
export const historyOf = signal<string | undefined>(undefined);

const cameBack = signal(0);
addEventListener('focus', () => {
  cameBack.value += 1;
});

let asked = 0;
let planShown: string | undefined;

/** Asks what stands now. */
export async function readEvening(): Promise<void> {
  const name = planText.peek()?.name;
  if (name === undefined) return;
  asked += 1;
  const own = asked;
  try {
    const found = await askEvening(name);
    if (own !== asked) return;
    evening.value = found;
    if (eveningFault.peek() !== undefined && pressed.peek() === undefined && !wasRefused)
      eveningFault.value = undefined;
  } catch (error) {
    if (own !== asked) return;
    evening.value = undefined;
    eveningFault.value = wordsOf(error);
    wasRefused = false;
  }
}

/** The fault that is shown is that of a press, not of looking. */
let wasRefused = false;

/** Tells why a press, or what one would write, was refused; it stays until the next is asked for. */
export function tellRefused(error: unknown): void {
  eveningFault.value = wordsOf(error);
  wasRefused = true;
}

effect(() => {
  const plan = planText.value;
  // Each of these may have changed what stands in archive or plan.
  const reasons = [bookTold.value, cameBack.value, isThere.value, plan?.isUnsaved.value];
  const isWanted = pane.value === 'evening' || isMovingBags.value;
  if (plan === undefined || !isWanted || reasons.length === 0) return;
  if (plan.name !== planShown) {
    planShown = plan.name;
    evening.value = undefined;
    pressed.value = undefined;
    answered.value = undefined;
    eveningFault.value = undefined;
    bagsMeant.value = '';
    historyOf.value = undefined;
  }
  void readEvening();
});

/** Sends a press; whether it was carried out. */
export async function doPress(act: PressAct, given: Partial<Press> = {}): Promise<boolean> {
  const name = planText.peek()?.name;
  if (name === undefined || isPressing.peek()) return false;
  isPressing.value = true;
  pressed.value = undefined;
  answered.value = undefined;
  eveningFault.value = undefined;
  try {
    pressed.value = await sendPress(name, { ...NOTHING, ...given, act });
    wasRefused = false;
    const { place = '', kind = '' } = given;
    if (act === 'done') answered.value = { place, kind };
    return true;
  } catch (error) {
    tellRefused(error);
    return false;
  } finally {
    isPressing.value = false;
    void readEvening();
  }
}

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** A press without anything written. */
const NOTHING: Press = {
  ...{ act: '', place: '', kind: '', bags: '', day: '', height: '', lean: '', mass: '', text: '' },
  ...{ photo: '', photoName: '', fresh: '', dry: '', together: '', why: '', to: '', swap: '', what: '' },
  id: '',
};

/**
 * The likely lean at the hand's day, asked of the worker.
 *
 * Always holds: a plan that was just worked out waits until nobody types or
 * drags any more, for following its growth takes the worker a while.
 */

import { computed, effect, signal } from '@preact/signals';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import { askRates } from './api.ts';
import type { DrawnLean } from './messages.ts';
import { bookTold, checked, hand, isThere, notice, planText, worker } from './state.ts';

/** Growth as it was measured in the zones of the open plan. */
const rates = signal<readonly ZoneRate[]>([]);

effect(() => {
  const plan = planText.value;
  // Each of these may have changed what stands in the grow book.
  const reasons = [bookTold.value, isThere.value, plan?.isUnsaved.value];
  if (!plan || reasons.length === 0) return;
  const put = (found: readonly ZoneRate[]): void => {
    const isSame = JSON.stringify(found) === JSON.stringify(rates.peek());
    if (planText.peek() === plan && !isSame) rates.value = found;
  };
  // A saved plan with errors, or an archive that cannot be read: the plan's own rates.
  askRates(plan.name).then(put, () => put([]));
});

export const leans = signal<readonly DrawnLean[]>([]);

const STILL_MS = 400;
const day = computed(() => hand.value.day);

let followed: unknown;
let waiting: ReturnType<typeof setTimeout> | undefined;

effect(() => {
  const [plan, wanted, measured] = [checked.value, day.value, rates.value];
  clearTimeout(waiting);
  if (!plan?.days) {
    leans.value = [];
    return;
  }
  const ask = (): void => {
    worker.ask('lean', { day: wanted, rates: measured }).then(
      (answer) => {
        if (answer === undefined) return;
        followed = plan;
        leans.value = answer;
      },
      (error: Error) => {
        notice.value = error.message;
      },
    );
  };
  if (plan === followed) ask();
  else waiting = setTimeout(ask, STILL_MS);
});

/**
 * The likely lean at the hand's day, asked of the worker.
 *
 * Always holds: a plan that was just worked out waits until nobody types or
 * drags any more, for following its growth takes the worker a while.
 */

import { computed, effect, signal } from '@preact/signals';
import type { DrawnLean } from './messages.ts';
import { checked, hand, notice, worker } from './state.ts';

export const leans = signal<readonly DrawnLean[]>([]);

const STILL_MS = 400;
const day = computed(() => hand.value.day);

let followed: unknown;
let waiting: ReturnType<typeof setTimeout> | undefined;

effect(() => {
  const [plan, wanted] = [checked.value, day.value];
  clearTimeout(waiting);
  if (!plan?.days) {
    leans.value = [];
    return;
  }
  const ask = (): void => {
    worker.ask('lean', { day: wanted }).then(
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

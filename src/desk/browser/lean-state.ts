/**
 * The likely lean at the hand's day, asked of the worker.
 *
 * Always holds: a plan that was just worked out waits until nobody types or
 * drags any more, for following its growth takes the worker a while; what grows
 * in one plan is never shown in another.
 */

import { computed, effect, signal } from '@preact/signals';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import { askRates } from './api.ts';
import { byShelf } from './by-shelf.ts';
import { inSight } from './map-state.ts';
import type { DrawnLean, WorkerQuestions } from './messages.ts';
import { bookTold, hand, isThere, notice, planText, whenStill, worker } from './state.ts';

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

type Leans = ReadonlyMap<number, readonly DrawnLean[]>;

/** By the shelf's index. */
const leans = signal<Leans>(new Map());

const NONE: readonly DrawnLean[] = [];
/** What grows on a shelf (index). */
export const leansOn = byShelf((shelf) => leans.value.get(shelf) ?? NONE);
/** It is the first shelf on which something grows. */
export const growsFirst = byShelf(
  (shelf) =>
    shelf === Math.min(...[...leans.value].flatMap(([index, { length }]) => (length > 0 ? [index] : []))),
);

const STILL_MS = 400;
const day = computed(() => hand.value.day);

/** Counts what was asked for: answers of an older day, or of another plan, are let go. */
let asked = 0;

// Another plan is opened: nothing is known of its growth yet.
effect(() => {
  planText.value;
  asked += 1;
  rates.value = [];
  leans.value = new Map();
});

whenStill(STILL_MS, ({ plan, days }) => {
  const [on, measured] = [day.value, rates.value];
  return () => {
    asked += 1;
    const count = plan && days ? plan.shelves.length : 0;
    // Shelves that are still there stay as they were until they are answered for.
    leans.value = new Map([...leans.peek()].filter(([shelf]) => shelf < count));
    if (count > 0) void follow({ day: on, rates: measured, shelves: inSightFirst(count) }, asked);
  };
});

const inSightFirst = (count: number): number[] => {
  const all = Array.from({ length: count }, (_, index) => index);
  const seen = inSight.peek();
  return [...all.filter((index) => seen.has(index)), ...all.filter((index) => !seen.has(index))];
};

/** Asks until all shelves are answered for: what is typed meanwhile comes between. */
async function follow(ask: WorkerQuestions['lean']['ask'], own: number): Promise<void> {
  try {
    const answer = await worker.ask('lean', ask);
    if (!answer || own !== asked) return;
    leans.value = new Map([...leans.peek(), ...answer.leans]);
    if (answer.left.length > 0) await follow({ ...ask, shelves: answer.left }, own);
  } catch (error) {
    notice.value = error instanceof Error ? error.message : String(error);
  }
}

/**
 * The map of the level over the shelves in sight, each at the height of its line.
 *
 * Always holds: a map is shown for the plan it was worked out of only; of a plan
 * that was just changed it is asked for when nobody types any more.
 */

import { effect, signal } from '@preact/signals';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { sure } from '../../../shared/assert.ts';
import type { LevelMap } from '../../answers/light/level-map.ts';
import { amongLamps } from './anchor.ts';
import { byShelf } from './by-shelf.ts';
import type { CheckAnswer } from './messages.ts';
import { checked, hand, notice, planText, whenStill, worker } from './state.ts';

/** Heights of the lines that were moved, mm above the shelf, by the shelf's name. */
export const heights = signal<Readonly<Record<string, number>>>({});
effect(() => {
  // Another plan's shelves may have the same names.
  planText.value;
  heights.value = {};
});
/** Indices of the shelves in sight. */
export const inSight = signal<ReadonlySet<number>>(new Set());

const worked = signal<{ readonly of: CheckAnswer; readonly maps: readonly LevelMap[] } | undefined>(
  undefined,
);

/** The map of a shelf (index) as it stands now. */
export const mapOf = byShelf((shelf): LevelMap | undefined => {
  const now = worked.value;
  return now && now.of === checked.value ? now.maps.find((one) => one.shelf === shelf) : undefined;
});

/** How high a shelf's line is: where it was put, else among the lamps. */
export function heightOf(plan: ResolvedPlan, index: number): number {
  const { name, clear } = sure(plan.shelves[index]);
  const put = heights.value[name];
  if (put !== undefined) return Math.min(clear, put);
  return Math.round(amongLamps(plan, index) / 5) * 5;
}

/** Puts a shelf's line at a height, mm. */
export function putHeight(plan: ResolvedPlan, index: number, height: number): void {
  const { name, clear } = sure(plan.shelves[index]);
  heights.value = { ...heights.value, [name]: Math.min(clear, Math.max(0, Math.round(height))) };
}

const STILL_MS = 300;

whenStill(STILL_MS, (of) => {
  const { plan, days } = of;
  const [at, shown] = [hand.value, inSight.value];
  if (!plan || !days || shown.size === 0) return undefined;
  const shelves = [...shown]
    .filter((index) => index < plan.shelves.length)
    .map((index) => [index, heightOf(plan, index)] as const);
  return () => {
    worker.ask('map', { at, shelves }).then(
      (maps) => {
        if (maps) worked.value = { of, maps };
      },
      (error: Error) => {
        notice.value = error.message;
      },
    );
  };
});

/** The likely lean is asked for shelf by shelf: the window and its worker are stand-ins, no browser is run here. */

import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import type { LeansAnswer } from '../../../src/desk/browser/messages.ts';

vi.stubGlobal('matchMedia', () => Object.assign(new EventTarget(), { matches: false }));
vi.stubGlobal('Worker', EventTarget);
const state = await import('../../../src/desk/browser/state.ts');
const { leansOn, growsFirst } = await import('../../../src/desk/browser/lean-state.ts');
const { heights, inSight } = await import('../../../src/desk/browser/map-state.ts');

const asked: (readonly number[])[] = [];

beforeAll(() => {
  vi.useFakeTimers();
  // Answers for one shelf at a time, and nothing grows on the first.
  vi.spyOn(state.worker, 'ask').mockImplementation(async (kind, ask) => {
    if (kind !== 'lean') return undefined;
    const { shelves } = ask as { readonly shelves: readonly number[] };
    const [first = 0, ...left] = shelves;
    asked.push(shelves);
    const grown = first === 0 ? [] : [{ batch: `on ${first}` }];
    return { leans: [[first, grown]], left } as never as LeansAnswer as never;
  });
});
afterAll(() => {
  state.forgetPlan();
  state.planText.value = undefined;
  inSight.value = new Set();
  vi.restoreAllMocks();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** A plan that was just checked, with the three shelves that every plan here has. */
function checkedPlan(): never {
  const plan = { shelves: ['a', 'b', 'c'].map((name) => ({ name, clear: 500 })), lamps: [] };
  return { findings: [], tables: [], plan, days: { first: 0, end: 9 } } as never;
}

it('is told of all shelves, those in sight first', async () => {
  inSight.value = new Set([2]);
  state.checked.value = checkedPlan();
  await vi.advanceTimersByTimeAsync(1000);
  expect(asked).toEqual([[2, 0, 1], [0, 1], [1]]);
  const told = [0, 1, 2].map((shelf) => leansOn(shelf).map(({ batch }) => batch));
  expect(told).toEqual([[], ['on 1'], ['on 2']]);
  expect([0, 1, 2].filter(growsFirst)).toEqual([1]);
});

it('is not that of the plan before where another one is opened, nor is the height of a line', async () => {
  vi.stubGlobal('fetch', () => Promise.reject(new Error('no desk is there')));
  const grown = (): string[] => [0, 1, 2].flatMap((shelf) => leansOn(shelf).map(({ batch }) => batch));
  const open = (name: string): void => {
    state.forgetPlan();
    state.planText.value = { name, isUnsaved: { value: false } } as never;
    state.checked.value = checkedPlan();
  };
  open('one');
  await vi.advanceTimersByTimeAsync(1000);
  heights.value = { a: 400 };
  expect(grown()).toEqual(['on 1', 'on 2']);
  open('two');
  expect([grown(), heights.value]).toEqual([[], {}]);
  // What was asked of the second is answered when the third is there.
  await vi.advanceTimersByTimeAsync(400);
  open('three');
  await vi.advanceTimersByTimeAsync(1);
  expect(grown()).toEqual([]);
  await vi.advanceTimersByTimeAsync(1000);
  expect(grown()).toEqual(['on 1', 'on 2']);
});

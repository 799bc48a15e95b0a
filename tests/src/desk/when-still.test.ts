/** What waits until nobody types: the window is a stand-in, no browser is run here. */

import { afterAll, afterEach, beforeAll, expect, it, vi } from 'vitest';
import type { CheckAnswer } from '../../../src/desk/browser/messages.ts';

vi.stubGlobal('matchMedia', () => Object.assign(new EventTarget(), { matches: false }));
vi.stubGlobal('Worker', EventTarget);
const { checked, isBusy, trial, whenStill } = await import('../../../src/desk/browser/state.ts');

const STILL_MS = 400;
const asked: CheckAnswer[] = [];
const text = (): CheckAnswer => ({ findings: [], tables: [] }) as never;

beforeAll(() => {
  vi.useFakeTimers();
  whenStill(STILL_MS, (plan) => () => asked.push(plan));
});
afterEach(() => {
  asked.length = 0;
});
afterAll(() => {
  checked.value = undefined;
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

it('is asked about the last text when nobody has typed for a while, however long the texts take', () => {
  checked.value = text();
  // A press whose text takes longer to be worked out than the wait.
  isBusy.value = true;
  vi.advanceTimersByTime(10 * STILL_MS);
  expect(asked).toEqual([]);
  const last = text();
  checked.value = last;
  isBusy.value = false;
  vi.advanceTimersByTime(STILL_MS - 1);
  expect(asked).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(asked).toEqual([last]);
});

it('waits while a move is tried', () => {
  checked.value = text();
  trial.value = { plan: undefined, shelf: undefined, moment: undefined, findings: [] };
  vi.advanceTimersByTime(10 * STILL_MS);
  expect(asked).toEqual([]);
  trial.value = undefined;
  vi.advanceTimersByTime(STILL_MS);
  expect(asked).toHaveLength(1);
});

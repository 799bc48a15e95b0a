/**
 * When another plan is opened nothing of the one before is shown or let happen. The window is a stand-in: no browser is
 * run here.
 */

import { afterAll, expect, it, vi } from 'vitest';

const window = new EventTarget();
const asked: string[] = [];
class SilentWorker extends EventTarget {
  postMessage({ kind }: { kind: string }): void {
    asked.push(kind);
  }
}
vi.stubGlobal('matchMedia', () => Object.assign(new EventTarget(), { matches: false }));
vi.stubGlobal('Worker', SilentWorker);
vi.stubGlobal('addEventListener', window.addEventListener.bind(window));

const state = await import('../../../src/desk/browser/state.ts');
const evening = await import('../../../src/desk/browser/evening-state.ts');

afterAll(() => {
  state.pane.value = 'plan';
  state.planText.value = undefined;
  vi.unstubAllGlobals();
});

it('forgets what was worked out of a plan, and what was let happen in it', () => {
  state.checked.value = { findings: [], plan: undefined, days: undefined } as never;
  state.weeks.value = { others: [] } as never;
  state.moment.value = { burning: ['left'] } as never;
  state.lived.value = { weeks: { others: [] }, practice: true } as never;
  state.picked.value = { kind: 'lamp', name: 'left' };
  state.missed.value = ['0 look 9779'];
  state.events.value = ['2026-10-10 12:00 cut 2h'];
  state.isStale.value = true;
  state.forgetPlan();
  expect([state.checked, state.weeks, state.moment, state.picked].map(({ value }) => value)).toEqual(
    Array(4).fill(undefined),
  );
  expect([state.events.value, state.missed.value]).toEqual([[], []]);
  expect(state.lived.value).toEqual({ weeks: undefined, practice: false });
  expect(state.isStale.value).toBe(false);
});

it('forgets the bags that the grow book was to be written about, but not where the same plan is looked at again', () => {
  vi.stubGlobal('fetch', () => Promise.reject(new Error('no desk is there')));
  const open = (name: string): void => {
    state.planText.value = { name, isUnsaved: { value: false } } as never;
  };
  open('one');
  state.pane.value = 'evening';
  evening.bagsMeant.value = 'spring-07';
  evening.answered.value = { place: 'A', kind: 'lift' };
  state.pane.value = 'rack';
  state.pane.value = 'evening';
  expect(evening.bagsMeant.value).toBe('spring-07');
  open('two');
  expect([evening.bagsMeant.value, evening.answered.value]).toEqual(['', undefined]);
});

/** The page's worker goes by what it is asked with, not by what it was asked before. The window it posts to is a stand-in. */

import { afterAll, expect, it, vi } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import type { WorkerQuestions } from '../../../src/desk/browser/messages.ts';
import { oneZone } from '../../support/one-zone.ts';
import { day } from '../answers/visits/plan.ts';

type Ask = (message: { readonly data: unknown }) => Promise<void>;
let handle: Ask | undefined;
const said: { readonly id: number; readonly answer?: unknown; readonly fault?: string }[] = [];
vi.stubGlobal('addEventListener', (_: string, listener: Ask) => {
  handle = listener;
});
vi.stubGlobal('postMessage', (message: (typeof said)[number]) => said.push(message));
await import('../../../src/desk/browser/worker.ts');
afterAll(() => vi.unstubAllGlobals());

async function asked<K extends keyof WorkerQuestions>(
  kind: K,
  ask: WorkerQuestions[K]['ask'],
): Promise<WorkerQuestions[K]['answer']> {
  await sure(handle)({ data: { id: said.length, kind, ask } });
  const { answer, fault } = sure(said.at(-1));
  if (fault !== undefined) throw new Error(fault);
  return answer as WorkerQuestions[K]['answer'];
}

const TEXT = oneZone('  left: { beside: A, side: left, output: 1, flux: 300 lm }');

it('lets nothing happen in a plan that was let happen in the one before', async () => {
  const at = { day: day('2026-02-18'), minute: 720 };
  const burning = async (events: readonly string[], text = TEXT): Promise<unknown> =>
    (await asked('check', { text, photometry: {}, at, events })).light?.moment.burning;
  expect(await burning([])).toEqual(['left']);
  const events = ['2026-02-18 06:00 cut 10h'];
  await asked('weeks', { events, missed: [], lived: undefined });
  expect(await burning(events, `${TEXT}\n`)).toEqual([]);
  expect(await burning([], `${TEXT}\n\n`)).toEqual(['left']);
});

/**
 * The work at controllers as the page knows it: what the server told last of
 * each port, and what is asked of it.
 */

import { signal } from '@preact/signals';
import type { Boards, JobAsked, JobView } from '../wire.ts';
import { askBoards, beginJob } from './api.ts';
import { notice, planText, WINDOW } from './state.ts';

/** What ports there are, once they were asked for. */
export const boards = signal<Boards | undefined>(undefined);
/** The last work at each port. */
export const jobs = signal<ReadonlyMap<string, JobView>>(new Map());
/** Name of the port that is worked at. */
export const port = signal('');

/** Told by the server. A picture of work that has ended since is not put over the end. */
export function hearJob(job: JobView): void {
  const known = jobs.value.get(job.port);
  if (known && (known.id > job.id || (known.id === job.id && known.ended && !job.ended))) return;
  jobs.value = new Map(jobs.value).set(job.port, job);
}

/** Asks which ports there are, and what goes on at them. */
export async function lookForPorts(): Promise<void> {
  try {
    const found = await askBoards();
    for (const job of found.jobs) hearJob(job);
    boards.value = found;
    const busy = found.jobs.find(({ ended }) => !ended) ?? found.jobs.at(-1);
    if (port.value === '') port.value = busy?.port ?? found.virtual[0] ?? usualPort(found);
  } catch (error) {
    fail(error);
  }
}

const usualPort = ({ ports }: Boards): string => ports.find(({ likely }) => likely)?.path ?? '';

type Wanted = Pick<JobAsked, 'kind'> & Partial<JobAsked>;

/** Has some work begun at the port; what is left out is not said. */
export async function begin(wanted: Wanted): Promise<void> {
  const plan = planText.value;
  if (!plan) return;
  const none = { controller: '', unit: '', at: '', advance: '', event: '', flags: '' };
  try {
    notice.value = undefined;
    const where = { port: port.value, plan: plan.name, mark: plan.mark, window: WINDOW };
    hearJob(await beginJob({ ...none, ...where, ...wanted }));
  } catch (error) {
    fail(error);
  }
}

export function fail(error: unknown): void {
  notice.value = error instanceof Error ? error.message : String(error);
}

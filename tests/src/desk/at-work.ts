/** Work at controllers through the desk's server, followed as a page follows it. */

import { type IncomingMessage, request } from 'node:http';
import { sure } from '../../../shared/assert.ts';
import {
  type DeskNews,
  JOB_TEXTS,
  type JobAsked,
  type JobView,
  type OpenedPlan,
} from '../../../src/desk/wire.ts';
import { until } from '../../support/until.ts';
import { type Asked, ask, type StartedDesk } from './desk.ts';

export const PANTRY = 'pantry.plan.yaml';

/** Asks for some work; what is not said is left out. */
export async function begin(
  desk: StartedDesk,
  wanted: Partial<JobAsked>,
  headers: Readonly<Record<string, string | undefined>> = {},
): Promise<Asked> {
  const none = Object.fromEntries(JOB_TEXTS.map((key) => [key, '']));
  const plan = wanted.plan ?? PANTRY;
  const opened = await ask(desk, { path: `/plan?name=${encodeURIComponent(plan)}` });
  const { mark }: Partial<OpenedPlan> = opened.status === 200 ? JSON.parse(opened.body) : {};
  const body = JSON.stringify({ ...none, plan, mark: mark ?? '', window: 'one', ...wanted });
  return ask(desk, { method: 'PUT', path: '/job', body, headers });
}

export const answer = (desk: StartedDesk, { id, question }: JobView, text: 'y' | 'n'): Promise<Asked> =>
  ask(desk, {
    method: 'PUT',
    path: '/job/answer',
    body: JSON.stringify({ id: String(id), question: String(question?.number), answer: text }),
  });

/** The newest picture of the work at a port. */
export async function jobAt(desk: StartedDesk, port: string): Promise<JobView> {
  const { jobs }: { jobs: JobView[] } = JSON.parse((await ask(desk, { path: '/boards' })).body);
  return sure(jobs.find((job) => job.port === port));
}

/** Waits until the work at a port is as wanted. */
export async function jobThat(
  desk: StartedDesk,
  port: string,
  isWanted: (job: JobView) => boolean,
): Promise<JobView> {
  let job = await jobAt(desk, port);
  await until(async () => {
    job = await jobAt(desk, port);
    return isWanted(job);
  });
  return job;
}

export const isOver = (job: JobView): boolean => job.ended !== undefined;
export const isAsking = (job: JobView): boolean => job.question !== undefined;
export const textOf = (job: JobView): string => job.lines.map(({ words }) => words).join('\n');

/** Flashes to a port, saying yes to everything but to its lamps; gives the work as it ended. */
export async function flashTo(
  desk: StartedDesk,
  port: string,
  more: Partial<JobAsked> = {},
): Promise<JobView> {
  await begin(desk, { kind: 'flash', port, ...more });
  for (let answered = 0; ; ) {
    const isNext = ({ question }: JobView): boolean => (question?.number ?? 0) > answered;
    const job = await jobThat(desk, port, (one) => isOver(one) || isNext(one));
    if (!job.question || isOver(job)) return job;
    await answer(desk, job, job.question.words.includes('Light each lamp') ? 'n' : 'y');
    answered = job.question.number;
  }
}

/** A window of the desk, as far as the server sees it: it listens. */
export interface Listening {
  readonly told: readonly DeskNews[];
  close(): void;
}

export function listen({ host, token }: StartedDesk, window: string): Promise<Listening> {
  const [name, port] = host.split(':');
  const told: DeskNews[] = [];
  return new Promise((resolve, reject) => {
    const sent = request(
      {
        ...{ host: name, port, path: `/told?window=${window}` },
        headers: { host, cookie: `leanward-desk-${port}=${token}` },
      },
      (response: IncomingMessage) => {
        let text = '';
        response.on('error', () => undefined);
        response.on('data', (more: Buffer) => {
          text += more;
          const parts = text.split('\n\n');
          text = parts.pop() ?? '';
          for (const part of parts)
            if (part.startsWith('data: ')) told.push(JSON.parse(part.slice(6)) as DeskNews);
        });
        resolve({ told, close: () => sent.destroy() });
      },
    );
    sent.once('error', reject);
    sent.end();
  });
}

/** A desk as a grower starts it, in a process and a folder of its own. */

import type { ChildProcess } from 'node:child_process';
import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { sure } from '../../../shared/assert.ts';
import type { OpenedPlan } from '../../../src/desk/wire.ts';
import { jsonOf, PLANS, start } from '../cli/run.ts';

/** A folder with copies of sample plans. */
export function folderWith(...plans: readonly string[]): string {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-desk-'));
  for (const plan of plans) copyFileSync(join(PLANS, `${plan}.plan.yaml`), join(folder, `${plan}.plan.yaml`));
  return folder;
}

export const sweep = (folder: string): void => rmSync(folder, { recursive: true, force: true });

export interface StartedDesk {
  readonly child: ChildProcess;
  readonly address: string;
  readonly host: string;
  readonly token: string;
  readonly already: boolean;
}

/** Starts `leanward desk` and waits for its address. */
export async function startDesk(...words: readonly string[]): Promise<StartedDesk> {
  const child = start(['desk', '--no-open', '--json', ...words]);
  const out = await new Promise<string>((resolve, reject) => {
    let text = '';
    let err = '';
    sure(child.stderr).on('data', (more: Buffer) => (err += more));
    sure(child.stdout).on('data', (more: Buffer) => {
      text += more;
      if (text.trimEnd().endsWith('}')) resolve(text);
    });
    child.once('close', () => reject(new Error(`leanward desk ended: ${text}${err}`)));
  });
  const { already, ...told } = jsonOf('desk', out);
  const address = String(told.address);
  const url = new URL(address);
  const token = sure(url.searchParams.get('token') ?? undefined);
  return { child, address, host: url.host, token, already: already === true };
}

/** Ends a process and waits until it is gone. */
export function end(child: ChildProcess, signal: 'SIGTERM' | 'SIGKILL' = 'SIGTERM'): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve();
  return new Promise((resolve) => {
    child.once('close', () => resolve());
    child.kill(signal);
  });
}

export interface Asked {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly body: string;
}

/** What a request asks and how it comes; left out: as the desk's own page would. */
export interface Asking {
  readonly method?: string;
  readonly path: string;
  readonly body?: string;
  readonly headers?: Readonly<Record<string, string | undefined>>;
}

/** Sends a request as written, with any headers. */
export function ask({ host, token }: Pick<StartedDesk, 'host' | 'token'>, asking: Asking): Promise<Asked> {
  const [name, port] = host.split(':');
  const usual = { host, origin: `http://${host}`, cookie: `leanward-desk-${port}=${token}` };
  const headers: Record<string, string> = {};
  for (const [key, value] of Object.entries({ ...usual, ...asking.headers })) {
    if (value !== undefined) headers[key] = value;
  }
  return new Promise((resolve, reject) => {
    const sent = request(
      { host: name, port, path: asking.path, method: asking.method ?? 'GET', headers },
      (response) => {
        let body = '';
        response.on('data', (more: Buffer) => (body += more));
        response.on('end', () =>
          resolve({ status: response.statusCode ?? 0, headers: response.headers, body }),
        );
        response.on('error', reject);
      },
    );
    sent.once('error', reject);
    sent.end(asking.body);
  });
}

/** What a window says with a text: the number of the text it follows, who it is, its own number. */
export const handed = (text: string, count: number, number = 1, window = 'test'): Record<string, string> => ({
  text,
  count: String(count),
  window,
  number: String(number),
});

/** A plan as the desk has it. */
export const opened = async (desk: StartedDesk, name: string): Promise<OpenedPlan> =>
  JSON.parse((await ask(desk, { path: `/plan?name=${encodeURIComponent(name)}&window=test` })).body);

/** Asks the desk to keep a text that follows that of number `count`. */
export const keep = (desk: StartedDesk, name: string, text: string, count: number): Promise<Asked> =>
  ask(desk, {
    method: 'PUT',
    path: `/unsaved?name=${encodeURIComponent(name)}`,
    body: JSON.stringify(handed(text, count)),
  });

/** Asks the desk to write a plan, over its base or over the bytes that `over` marks. */
export const save = (
  desk: StartedDesk,
  name: string,
  text: string,
  count: number,
  over: string,
): Promise<Asked> =>
  ask(desk, {
    method: 'PUT',
    path: `/plan?name=${encodeURIComponent(name)}`,
    body: JSON.stringify({ ...handed(text, count), over }),
  });

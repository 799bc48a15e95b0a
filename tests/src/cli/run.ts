/** Runs the command line as a grower does, in a process of its own. */

import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Ajv } from 'ajv';
import { sure } from '../../../shared/assert.ts';

const LAUNCHER = fileURLToPath(new URL('../../../src/leanward.js', import.meta.url));
export const PLANS = fileURLToPath(new URL('../../../shared/plans/', import.meta.url));

export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Starts `leanward` with these words. */
export function start(words: readonly string[], env: Readonly<Record<string, string>> = {}): ChildProcess {
  return spawn(process.execPath, [LAUNCHER, ...words], {
    env: { ...process.env, TZ: 'UTC', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
}

/** Runs `leanward` to its end. */
export function leanward(...words: string[]): Promise<Ran> {
  const child = start(words);
  let out = '';
  let err = '';
  sure(child.stdout).on('data', (text: Buffer) => (out += text));
  sure(child.stderr).on('data', (text: Buffer) => (err += text));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, out, err })));
}

/** Starts `leanward virtual` on a free TCP port. */
export async function startVirtual(...words: string[]): Promise<{ child: ChildProcess; port: number }> {
  const child = start(['virtual', '--tcp', '0', '--json', ...words]);
  const first = await new Promise<string>((resolve, reject) => {
    let out = '';
    sure(child.stdout).on('data', (text: Buffer) => {
      out += text;
      if (out.trimEnd().endsWith('}')) resolve(out);
    });
    child.once('close', () => reject(new Error(`leanward virtual ended: ${out}`)));
  });
  return { child, port: Number(jsonOf('virtual', first).port) };
}

const ajv = new Ajv({ allErrors: true });

/** Parses a JSON output and holds it against its schema; gives it back. */
export function jsonOf(schema: string, out: string): Record<string, unknown> {
  const value: Record<string, unknown> = JSON.parse(out);
  const shape = JSON.parse(readFileSync(new URL(`schemas/${schema}.schema.json`, import.meta.url), 'utf8'));
  const valid = ajv.validate(shape, value);
  if (!valid) throw new Error(`${schema}: ${ajv.errorsText()}\n${out}`);
  return value;
}

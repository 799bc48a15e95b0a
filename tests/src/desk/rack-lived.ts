/** A rack that lived for a while: made through the real commands on a virtual controller. */

import { join } from 'node:path';
import { expect } from 'vitest';
import { leanward } from '../cli/run.ts';
import { folderWith } from './desk.ts';

export interface LivedRack {
  readonly folder: string;
  readonly plan: string;
  /** A command that must succeed; what it says as JSON. */
  readonly json: (...words: readonly string[]) => Promise<Record<string, unknown>>;
}

/** A sample rack, flashed on 2026-03-25, with the log of the fortnight after. */
export async function livedRack(name = 'pantry'): Promise<LivedRack> {
  const folder = folderWith(name);
  const plan = join(folder, `${name}.plan.yaml`);
  const json = async (...words: readonly string[]): Promise<Record<string, unknown>> => {
    const ran = await leanward(...words, '--json');
    expect(ran, ran.err).toMatchObject({ code: 0 });
    return JSON.parse(ran.out);
  };
  const port = `virtual:${join(folder, 'rack.json')}`;
  await json('flash', plan, '--port', port, '--at', '2026-03-25T12:00', '--yes');
  await json('log', plan, '--port', port, '--advance', '14d');
  return { folder, plan, json };
}

/** A photo that is a photo: the smallest PNG there is (W3C's PNG specification: signature, IHDR, IDAT, IEND), written from memory. */
export const PHOTO = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
  'base64',
);

/** Golden files of findings: a source, and what the grower reads about it. `UPDATE_GOLDEN=1` writes them anew. */

import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { expect } from 'vitest';

/** The folder with a file a case, `CODE.SLUG.txt`. */
export const GOLDEN = new URL('../golden/findings/', import.meta.url);

/** The text of a golden file. */
export const goldenText = (source: string, rendered: readonly string[]): string =>
  `${source.trimEnd()}\n${'='.repeat(40)}\n${rendered.join('\n')}\n`;

/** Holds a text to its golden file. */
export function expectGolden(
  { code, slug }: { readonly code: string; readonly slug: string },
  now: string,
): void {
  const name = `${code}.${slug}.txt`;
  const file = new URL(name, GOLDEN);
  if (process.env.UPDATE_GOLDEN) writeFileSync(file, now);
  expect(existsSync(file), `no golden file ${name}`).toBe(true);
  expect(now).toBe(readFileSync(file, 'utf8'));
}

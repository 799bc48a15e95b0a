import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import fc from 'fast-check';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { itemAt } from '../../shared/assert.ts';
import { RANDOM_FILES, randomPlan } from '../equivalence/random-plan.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { type OpenedBrowser, openChromium } from '../support/chromium.ts';
import { needs } from '../support/needs.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Hex of every table of a plan, as Node makes them. */
function inNode(text: string): string[] {
  return compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES }).tables.map(({ encoded }) =>
    Buffer.from(encoded.bytes).toString('hex'),
  );
}

const IN_PAGE = `
import { compilePlan } from './compiler/compile.ts';
globalThis.tablesOf = (text, boards, photometry) => compilePlan(text, { boards, photometry }).tables.map(({ encoded }) =>
  [...encoded.bytes].map((byte) => byte.toString(16).padStart(2, '0')).join(''));
`;

async function bundleForPage(): Promise<string> {
  const { outputFiles } = await build({
    stdin: { contents: IN_PAGE, resolveDir: root, loader: 'ts' },
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'browser',
  });
  return itemAt(outputFiles, 0).text;
}

needs(['chromium'], 'the compiler in a browser', () => {
  let browser: OpenedBrowser;
  let page: Page;

  beforeAll(async () => {
    browser = await openChromium();
    page = await browser.context.newPage();
    await page.addScriptTag({ content: await bundleForPage() });
  });

  afterAll(async () => {
    await browser.close();
  });

  const inPage = (text: string): Promise<string[]> =>
    page.evaluate(
      `tablesOf(${JSON.stringify(text)}, ${JSON.stringify(BOARDS)}, ${JSON.stringify(RANDOM_FILES)})`,
    );

  it.each(['smallest', 'pantry', 'pantry-open', 'wire-rack'])('makes the same bytes of %s', async (name) => {
    const text = samplePlan(name);
    const tables = inNode(text);
    expect(tables).toHaveLength(1);
    expect(await inPage(text)).toEqual(tables);
  });

  it('makes the same bytes of fifty random plans', async () => {
    for (const text of fc.sample(randomPlan, { numRuns: 50, seed: 20260216 })) {
      const tables = inNode(text);
      expect(tables).toHaveLength(1);
      expect(await inPage(text)).toEqual(tables);
    }
  });
});

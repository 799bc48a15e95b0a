import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import type { OpenedPlan } from '../../../src/desk/wire.ts';
import { openChromium } from '../../support/chromium.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { ask, end, folderWith, type StartedDesk, startDesk, sweep } from './desk.ts';
import { cursorAfter, settled } from './page.ts';

const PANTRY = 'pantry.plan.yaml';
const LINE = '# and on and on, as fast as one types ';

/** Notes the longest text of which the server told this page that it is kept. */
function keptSoFar(page: Page): { text: string } {
  const kept = { text: '' };
  page.on('response', async (response) => {
    const request = response.request();
    if (request.method() !== 'PUT' || !request.url().includes('/unsaved') || !response.ok()) return;
    const { text }: { text: string } = JSON.parse(sure(request.postData() ?? undefined));
    if (text.length > kept.text.length) kept.text = text;
  });
  return kept;
}

/** What was typed so far, as the server knows it. */
async function keptBy(desk: StartedDesk): Promise<string> {
  const opened: OpenedPlan = JSON.parse((await ask(desk, { path: `/plan?name=${PANTRY}` })).body);
  return opened.unsaved?.text ?? opened.text;
}

needs(['chromium'], 'a browser and a server that are killed while one types', () => {
  const waits = fc.sample(fc.integer({ min: 100, max: 1500 }), { numRuns: 8, seed: 20260216 });

  it.each(waits)('leave the file as it was, and what was typed comes back (after %d ms)', async (wait) => {
    const folder = folderWith('pantry');
    const before = readFileSync(join(folder, PANTRY), 'utf8');
    const desk = await startDesk(folder);
    const browser = await openChromium();
    try {
      const page = await browser.context.newPage();
      await page.goto(desk.address);
      await settled(page);
      await cursorAfter(page, before);
      const told = keptSoFar(page);
      let isOver = false;
      const typing = (async () => {
        for (const key of LINE.repeat(40)) {
          if (isOver) return;
          await page.keyboard.type(key);
        }
      })().catch(() => undefined);
      await until(() => told.text !== '');
      await new Promise((resolve) => setTimeout(resolve, wait));
      // A key pressed just now may be lost with the server; of what it said is kept nothing may.
      const promised = told.text;
      await end(desk.child, 'SIGKILL');
      isOver = true;
      await browser.close();
      await typing;
      expect(readFileSync(join(folder, PANTRY), 'utf8')).toBe(before);
      const again = await startDesk(folder);
      const kept = await keptBy(again);
      await end(again.child);
      expect(kept.startsWith(before)).toBe(true);
      const back = kept.slice(before.length);
      expect(LINE.repeat(41).startsWith(back)).toBe(true);
      expect(kept.startsWith(promised)).toBe(true);
    } finally {
      await browser.close().catch(() => undefined);
      await end(desk.child);
      sweep(folder);
    }
  });
});

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

/** LEANWARD_KILLS=100 kills as often as was done when the desk was made so. */
const KILLS = Number(process.env.LEANWARD_KILLS ?? 5);
/** So many keys after one another, then one that saves. */
const SAVES_AFTER = 12;

/** The longest texts of which the server told this page that they are kept, and saved. */
interface Promised {
  kept: string;
  saved: string;
}

function promisedSoFar(page: Page, before: string): Promised {
  const promised = { kept: '', saved: before };
  page.on('response', async (response) => {
    const request = response.request();
    if (request.method() !== 'PUT' || !response.ok()) return;
    const answer: { follows?: boolean; saved?: boolean } = await response.json().catch(() => ({}));
    if (!answer.follows) return;
    const { text }: { text: string } = JSON.parse(sure(request.postData() ?? undefined));
    if (text.length > promised.kept.length) promised.kept = text;
    if (answer.saved && text.length > promised.saved.length) promised.saved = text;
  });
  return promised;
}

/** What was typed so far, as the server knows it. */
async function keptBy(desk: StartedDesk): Promise<string> {
  const opened: OpenedPlan = JSON.parse((await ask(desk, { path: `/plan?name=${PANTRY}` })).body);
  return opened.unsaved?.text ?? opened.text;
}

needs(['chromium'], 'a browser and a server that are killed while one types', () => {
  const waits = fc.sample(fc.integer({ min: 100, max: 1500 }), { numRuns: KILLS, seed: 20260216 });

  it.each(waits)(
    'leave the old text or the new one in the file, and what was typed comes back (after %d ms)',
    async (wait) => {
      const folder = folderWith('pantry');
      const before = readFileSync(join(folder, PANTRY), 'utf8');
      const desk = await startDesk(folder);
      const browser = await openChromium();
      try {
        const page = await browser.context.newPage();
        await page.goto(desk.address);
        await settled(page);
        await cursorAfter(page, before);
        const told = promisedSoFar(page, before);
        let isOver = false;
        const typing = (async () => {
          for (const [n, key] of [...LINE.repeat(40)].entries()) {
            if (isOver) return;
            await page.keyboard.type(key);
            if (n % SAVES_AFTER === SAVES_AFTER - 1) await page.keyboard.press('Control+s');
          }
        })().catch(() => undefined);
        await until(() => told.kept !== '');
        await new Promise((resolve) => setTimeout(resolve, wait));
        // A key pressed just now may be lost with the server; of what it said is kept nothing may.
        const { kept: keptBefore, saved: savedBefore } = { ...told };
        await end(desk.child, 'SIGKILL');
        isOver = true;
        await browser.close();
        await typing;
        const typed = before + LINE.repeat(41);
        const file = readFileSync(join(folder, PANTRY), 'utf8');
        expect(typed.startsWith(file)).toBe(true);
        expect(file.startsWith(savedBefore)).toBe(true);
        const again = await startDesk(folder);
        const kept = await keptBy(again);
        await end(again.child);
        expect(typed.startsWith(kept)).toBe(true);
        expect(kept.startsWith(keptBefore)).toBe(true);
        expect(kept.startsWith(file)).toBe(true);
      } finally {
        await browser.close().catch(() => undefined);
        await end(desk.child);
        sweep(folder);
      }
    },
  );
});

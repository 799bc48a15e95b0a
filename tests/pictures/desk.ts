/**
 * `npm run pictures`: the README's pictures of the desk, taken anew in
 * Chromium from the sample plans; and to be looked at, in dist/pictures/, each
 * pane on a desktop and a phone, light and dark, after a week on a virtual
 * controller.
 */

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { sure } from '../../shared/assert.ts';
import { end, folderWith, startDesk, sweep } from '../src/desk/desk.ts';
import { settled } from '../src/desk/page.ts';
import { flashVirtual, letPass } from '../src/desk/show.ts';
import { openChromium } from '../support/chromium.ts';

const FOLDER = fileURLToPath(new URL('../../src/desk/pictures/', import.meta.url));
const ALL_FOLDER = fileURLToPath(new URL('../../dist/pictures/', import.meta.url));
const SIZES = { desktop: { width: 1240, height: 960 }, phone: { width: 390, height: 844 } } as const;

/** Waits until the light of the hand's minute is drawn. */
async function lit(page: Page): Promise<void> {
  await settled(page);
  await page.getByText('burning:').first().waitFor();
}

/** Puts the hand on the day so many days after the first. */
async function goToDay(page: Page, days: number): Promise<void> {
  const slider = page.getByLabel('Day').first();
  const first = Number(await slider.getAttribute('min'));
  await slider.fill(String(first + days));
}

async function takeAll(page: Page): Promise<void> {
  await lit(page);
  await goToDay(page, 60);
  await lit(page);
  await page.locator('.picture').nth(1).locator('[data-name=A-left]').focus();
  await page.keyboard.press('Enter');
  await page.locator('.picked-part h3').waitFor();
  await page.screenshot({ path: `${FOLDER}rack.png` });
  await page.getByRole('button', { name: 'Weeks' }).click();
  await page.getByRole('button', { name: /^Let it happen/ }).click();
  await page.locator('[data-pane=weeks] tbody tr').first().waitFor();
  await page.screenshot({ path: `${FOLDER}weeks.png` });
  await page.setViewportSize({ width: 390, height: 760 });
  await page.emulateMedia({ colorScheme: 'dark' });
  await page.locator('.happenings li button').first().click();
  await page.getByRole('button', { name: 'Rack' }).click();
  await lit(page);
  await page.screenshot({ path: `${FOLDER}phone.png` });
}

/** What a pane says while something is still under way. */
const NOT_YET = ['Being fetched', 'Being looked up', 'Working it out', 'runs the grow', 'Looking for ports'];

/** Each pane, on each kind of screen. */
async function takeEach(page: Page): Promise<void> {
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      for (const title of await page.locator('header nav button').allTextContents()) {
        await page.getByRole('button', { name: title, exact: true }).click();
        for (const words of NOT_YET)
          await page.getByText(words).filter({ visible: true }).first().waitFor({ state: 'hidden' });
        const path = `${ALL_FOLDER}${title.toLowerCase()}-${size}-${colorScheme}.png`;
        await page.screenshot({ path, fullPage: true });
      }
    }
  }
}

mkdirSync(FOLDER, { recursive: true });
mkdirSync(ALL_FOLDER, { recursive: true });
const folder = folderWith('pantry');
const desk = await startDesk(folder);
const browser = await openChromium({ viewport: SIZES.desktop });
try {
  const page = sure(browser.context.pages()[0]);
  await page.goto(desk.address);
  await takeAll(page);
  await page.emulateMedia({ colorScheme: 'light' });
  await page.setViewportSize(SIZES.desktop);
  const all = { folder, desk, page, path: join(folder, 'pantry.plan.yaml') };
  await flashVirtual(all, false, '2026-03-20');
  await letPass(all, '7d');
  await takeEach(page);
} finally {
  await browser.close();
  await end(desk.child);
  sweep(folder);
}

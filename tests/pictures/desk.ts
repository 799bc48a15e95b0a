/**
 * `npm run pictures`: the README's pictures of the desk, taken anew in
 * Chromium from the sample plans.
 */

import { mkdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { sure } from '../../shared/assert.ts';
import { end, folderWith, startDesk, sweep } from '../src/desk/desk.ts';
import { settled } from '../src/desk/page.ts';
import { openChromium } from '../support/chromium.ts';

const FOLDER = fileURLToPath(new URL('../../src/desk/pictures/', import.meta.url));

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

mkdirSync(FOLDER, { recursive: true });
const folder = folderWith('pantry');
const desk = await startDesk(folder);
const browser = await openChromium({ viewport: { width: 1240, height: 960 } });
try {
  const page = sure(browser.context.pages()[0]);
  await page.goto(desk.address);
  await takeAll(page);
} finally {
  await browser.close();
  await end(desk.child);
  sweep(folder);
}

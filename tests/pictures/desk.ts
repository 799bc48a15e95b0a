/**
 * `npm run pictures`: the README's pictures of the desk, taken anew in
 * Chromium from the sample plans; and to be looked at, in dist/pictures/, each
 * pane on a desktop and a phone, light and dark, after a week on a virtual
 * controller.
 */

import { mkdirSync, writeFileSync } from 'node:fs';
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

/** Waits until the likely lean is drawn, which comes a moment after the light. */
async function grown(page: Page): Promise<void> {
  await lit(page);
  await page.locator('.picture path[fill="#6b3f1d"]').first().waitFor();
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
  await grown(page);
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
  await grown(page);
  await page.screenshot({ path: `${FOLDER}phone.png` });
}

/** What a pane says while something is still under way. */
const NOT_YET = [
  'Being fetched',
  'Being looked up',
  'Working it out',
  'runs the grow',
  'Looking for ports',
  'Being worked out',
];

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

/** An evening as it may be: a visit done, a note with a photo, what bags gave. */
async function spendEvening(page: Page, folder: string): Promise<void> {
  const photo = join(folder, 'antler.png');
  const drawn: string = await page.evaluate(DRAW_ANTLER);
  writeFileSync(photo, Buffer.from(drawn.replace(/^[^,]*,/, ''), 'base64'));
  await page.getByRole('button', { name: 'Evening', exact: true }).click();
  const done = page.getByRole('button', { name: /^Done: / }).first();
  await done.click();
  await page
    .getByRole('button', { name: /^Undo: / })
    .first()
    .waitFor();
  await page.getByRole('button', { name: 'early-01', exact: true }).click();
  const book = page.getByRole('region', { name: 'The grow book' });
  const write = async (kept: RegExp): Promise<void> => {
    await book.getByRole('button', { name: 'Write it into the book' }).click();
    await page.getByText(kept).first().waitFor();
  };
  await book.getByLabel('was').selectOption('harvested');
  for (const [bag, mass] of HARVEST) {
    await book.getByLabel('Bags').fill(bag);
    await book.getByLabel('Fresh mass').fill(mass);
    await write(new RegExp(`Kept: .*${bag}.*${mass} fresh`));
  }
  await book.getByLabel('was').selectOption('seen or measured');
  await book.getByLabel(/^Bag or batch/).fill('early-01');
  await book.getByLabel('Height').fill('12 cm');
  await book.getByLabel('Lean').fill('20 deg');
  await book.getByLabel('to the').selectOption('left');
  await book.getByLabel('In words').fill('three tips, one forked');
  await book.getByLabel('Photo').setInputFiles(photo);
  await write(/Kept: .*early-01.*three tips/);
  await page.getByRole('region', { name: 'History of early-01' }).getByRole('img').waitFor();
}

const HARVEST = [
  ['early-02', '85 g'],
  ['early-03', '72 g'],
  ['early-04', '91 g'],
  ['late-01', '64 g'],
  ['late-02', '58 g'],
] as const;

/** An antler drawn on a canvas, as a `data:` address: no photo of anybody's. */
const DRAW_ANTLER = `(() => {
  const canvas = Object.assign(document.createElement('canvas'), { width: 320, height: 400 });
  const pen = canvas.getContext('2d');
  pen.fillStyle = '#e8e2d2'; pen.fillRect(0, 0, 320, 400);
  pen.fillStyle = '#b9a37d'; pen.fillRect(60, 250, 200, 150);
  pen.lineCap = 'round';
  for (const [width, colour] of [[34, '#8a3b1d'], [22, '#c9622c']]) {
    pen.lineWidth = width; pen.strokeStyle = colour;
    pen.beginPath(); pen.moveTo(160, 255); pen.quadraticCurveTo(150, 150, 95, 70);
    pen.moveTo(152, 180); pen.quadraticCurveTo(175, 120, 200, 95); pen.stroke();
  }
  pen.fillStyle = '#f4ead2';
  for (const [x, y] of [[95, 70], [200, 95]]) { pen.beginPath(); pen.arc(x, y, 11, 0, 7); pen.fill(); }
  return canvas.toDataURL('image/png');
})()`;

/** Evening and review at their whole length, which a desktop's window does not show. */
async function takeLong(page: Page): Promise<void> {
  await page.setViewportSize({ width: SIZES.desktop.width, height: 2400 });
  await page.emulateMedia({ colorScheme: 'light' });
  for (const title of ['Evening', 'Review']) {
    await page.getByRole('button', { name: title, exact: true }).click();
    for (const words of NOT_YET)
      await page.getByText(words).filter({ visible: true }).first().waitFor({ state: 'hidden' });
    await page.screenshot({ path: `${ALL_FOLDER}${title.toLowerCase()}-whole.png` });
  }
  await page.pdf({ path: `${ALL_FOLDER}review.pdf`, format: 'A4' });
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
  await spendEvening(page, folder);
  await takeEach(page);
  await takeLong(page);
} finally {
  await browser.close();
  await end(desk.child);
  sweep(folder);
}

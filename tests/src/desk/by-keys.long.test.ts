/** The plan, the rack and the weeks worked by keys alone, and printed. */

import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { chromiumDesks, fileReads, settled, textIn } from './page.ts';

const MOST_STOPS = 200;
/** A4 less 1 cm at each edge, in CSS pixels (96 an inch). */
const PAPER = { width: 718, height: 1046 } as const;

/** Goes on with the tabulator until what has the focus is of this kind. */
async function tabTo(page: Page, selector: string): Promise<void> {
  for (let n = 0; n < MOST_STOPS; n++) {
    if (await page.evaluate(`document.activeElement.matches(${JSON.stringify(selector)})`)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`the tabulator does not come to ${selector}`);
}

/** The same for a button, by its words. */
async function tabToButton(page: Page, words: string): Promise<void> {
  for (let n = 0; n < MOST_STOPS; n++) {
    const here = await page.evaluate(
      `document.activeElement.matches('button') && document.activeElement.textContent`,
    );
    if (typeof here === 'string' && here.startsWith(words)) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`the tabulator does not come to the button ${words}`);
}

/** Pictures that are wider than their place, or taller than a page, as printed. */
const CUT = `(() => [...document.querySelectorAll('[data-pane]:not([hidden]) svg')].flatMap((svg) => {
  const own = svg.getBoundingClientRect();
  const faults = own.height > ${PAPER.height} || own.right > innerWidth + 1 ? ['beyond the page'] : [];
  for (let box = svg.parentElement; box; box = box.parentElement) {
    const { overflowX, overflowY } = getComputedStyle(box);
    const place = box.getBoundingClientRect();
    if (overflowX !== 'visible' && own.right > place.right + 1) faults.push('cut at the right by ' + box.className);
    if (overflowY !== 'visible' && own.bottom > place.bottom + 1) faults.push('cut below by ' + box.className);
  }
  if (!svg.closest('p, button') && ![svg, svg.parentElement].some((box) => getComputedStyle(box).breakInside === 'avoid'))
    faults.push('may be broken over two pages: ' + svg.parentElement.className);
  return faults;
}))()`;

const INK = `(({ backgroundColor, color }) => [backgroundColor, color])(getComputedStyle(document.body))`;

needs(['chromium'], 'the desk without a mouse, and on paper', () => {
  const desks = chromiumDesks();
  const { withDesk } = desks;

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('has its faults found and mended, its lamps moved, its time set, its weeks run: by keys alone', async () => {
    await withDesk(['pantry'], async ({ page, path }) => {
      const before = readFileSync(path, 'utf8');
      await settled(page);
      await tabTo(page, '.cm-content');
      await page.locator('.cm-content[aria-autocomplete]').waitFor({ state: 'attached' });
      await page.keyboard.press('Control+f');
      await page.keyboard.type('facing: right');
      await page.keyboard.press('Enter');
      await page.keyboard.press('Escape');
      await page.keyboard.press('ArrowRight');
      await page.keyboard.press('Backspace');
      await page.locator('.finding.error').waitFor();
      await tabToButton(page, 'Write right');
      await page.keyboard.press('Enter');
      await until(async () => (await textIn(page)) === before);
      await settled(page);
      await tabTo(page, '.picture [data-name=A-left]');
      await page.keyboard.press('ArrowRight');
      await until(async () => (await textIn(page)).includes('from: [15 mm, 20 mm, 330 mm]'));
      await settled(page);
      await page.keyboard.press('Shift+Tab');
      await tabTo(page, '.picture [data-name=A-left]');
      await page.keyboard.press('Enter');
      await page.locator('.picked-part').getByText('lamp A-left').waitFor();
      const day = page.getByRole('region', { name: 'Time' }).first().locator('strong');
      const first = await day.textContent();
      while (!(await page.evaluate(`document.activeElement.matches('.picked-part input')`)))
        await page.keyboard.press('Shift+Tab');
      await page.keyboard.press('Shift+Tab');
      await page.keyboard.press('Shift+Tab');
      await tabTo(page, '.picked-part input');
      await page.keyboard.press('Control+a');
      await page.keyboard.type('20 mm');
      await page.keyboard.press('Enter');
      await until(async () => (await textIn(page)).includes('from: [20 mm, 20 mm, 330 mm]'));
      await settled(page);
      await tabTo(page, '.time-hand input[type=range]');
      await page.keyboard.press('ArrowRight');
      await until(async () => (await day.textContent()) !== first);
      await tabToButton(page, 'Save');
      await page.keyboard.press('Enter');
      await fileReads(path, await textIn(page));
      await tabToButton(page, 'Weeks');
      await page.keyboard.press('Enter');
      await page.getByText('Each zone gets its hours of light on every day.').waitFor();
      await tabToButton(page, 'Let it happen');
      await page.keyboard.press('Enter');
      await page.locator('[data-pane=weeks] tbody tr').first().waitFor();
    });
  });

  it('prints rack and weeks with no picture cut', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      await page.getByText('burning:').first().waitFor();
      // Beside another pane the plan's findings stay on the screen: they would leave empty pages behind.
      await page.emulateMedia({ media: 'print' });
      expect(await page.locator('.findings').isVisible()).toBe(false);
      await page.setViewportSize(PAPER);
      for (const name of ['Rack', 'Weeks']) {
        await page.emulateMedia({ media: 'screen' });
        await page.getByRole('button', { name, exact: true }).click();
        await page.locator(`[data-pane=${name.toLowerCase()}] svg`).first().waitFor();
        await page.emulateMedia({ media: 'print' });
        expect(await page.evaluate(CUT)).toEqual([]);
        // Where the screen is dark, paper stays paper.
        await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
        expect(await page.evaluate(INK)).toEqual(['rgb(253, 252, 248)', 'rgb(43, 42, 39)']);
        await page.emulateMedia({ media: 'screen', colorScheme: 'dark' });
        expect(await page.evaluate(INK)).toEqual(['rgb(31, 30, 27)', 'rgb(236, 231, 218)']);
        await page.emulateMedia({ media: 'print', colorScheme: 'light' });
        const pdf = await page.pdf({
          format: 'A4',
          margin: { top: '1cm', bottom: '1cm', left: '1cm', right: '1cm' },
        });
        expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
      }
    });
  });
});

/** Pages as Chromium shows and prints them, and what of them is cut. */

import type { Page } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { type OpenedBrowser, openChromium } from './chromium.ts';
import { needs } from './needs.ts';

/** How a page is looked at: its width in pixels (96 an inch), on a screen or on paper. */
export interface Looked {
  readonly width: number;
  readonly media: 'screen' | 'print';
}

/** Tests that look at pages; `show` opens a text in a page of its own. */
export function describePrinted(
  what: string,
  tests: (show: (text: string, looked?: Partial<Looked>) => Promise<Page>) => void,
): void {
  needs(['chromium'], what, () => {
    let browser: OpenedBrowser;
    beforeAll(async () => {
      browser = await openChromium();
    });
    afterAll(() => browser?.close());
    tests(async (text, { width = 800, media = 'print' } = {}) => {
      const page = await browser.context.newPage();
      await page.setViewportSize({ width, height: 1000 });
      await page.setContent(text);
      await page.emulateMedia({ media });
      return page;
    });
  });
}

/** The parts that reach beyond the right edge of the page, or hold more than they show: their names and first words. */
export function cutParts(page: Page, selector: string): Promise<string[]> {
  return page.evaluate((which) => {
    const most = document.documentElement.clientWidth;
    const cut = [...document.querySelectorAll(which)].filter(
      (part) =>
        part.getBoundingClientRect().right > most + 1 ||
        (!(part instanceof SVGElement) && part.scrollWidth > part.clientWidth + 1),
    );
    return cut.map((part) => `${part.tagName} ${part.textContent?.slice(0, 60)}`);
  }, selector);
}

/** The desk's page as somebody uses it: by mouse, by keys, by what is written on it. */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import axe from 'axe-core';
import type { Locator, Page } from 'playwright-core';
import { expect } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { type OpenedBrowser, openChromium } from '../../support/chromium.ts';
import { until } from '../../support/until.ts';
import { end, folderWith, type StartedDesk, startDesk, sweep } from './desk.ts';

type Box = NonNullable<Awaited<ReturnType<Locator['boundingBox']>>>;

/** Opens the desk in a new window; `faults` gathers what the browser complains of. */
async function openPage(
  newPage: () => Promise<Page>,
  address: string,
): Promise<{ page: Page; faults: string[] }> {
  const page = await newPage();
  const faults: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') faults.push(message.text());
  });
  page.on('pageerror', (error) => faults.push(error.message));
  await page.goto(address);
  return { page, faults };
}

/** What a test of a page works with. */
export interface PageAtWork {
  readonly folder: string;
  readonly desk: StartedDesk;
  readonly page: Page;
  /** Of the first plan. */
  readonly path: string;
}

/** A browser for the tests of a file, and desks of their own for each. */
export function chromiumDesks() {
  let browser: OpenedBrowser | undefined;
  const open = (address: string) => openPage(() => sure(browser).context.newPage(), address);
  const withDesk = async (
    plans: readonly string[],
    work: (all: PageAtWork) => Promise<void>,
  ): Promise<void> => {
    const folder = folderWith(...plans);
    const desk = await startDesk(folder);
    const { page, faults } = await open(desk.address);
    try {
      await work({ folder, desk, page, path: join(folder, `${plans[0]}.plan.yaml`) });
      // A server that is ended on purpose is missed by the browser too.
      expect(faults.filter((fault) => !/net::ERR/.test(fault))).toEqual([]);
    } finally {
      await page.close({ runBeforeUnload: false });
      await end(desk.child);
      sweep(folder);
    }
  };
  return {
    open,
    withDesk,
    begin: async (): Promise<void> => {
      browser = await openChromium({ viewport: { width: 1400, height: 1000 } });
    },
    end: async (): Promise<void> => browser?.close(),
  };
}

/** The text in the editor: its lines as the editor holds them, however few are drawn. */
export async function textIn(page: Page): Promise<string> {
  const lines: string[] = await page.evaluate(
    `(() => { const view = document.querySelector('.cm-content').cmTile.view; return view.state.doc.toJSON(); })()`,
  );
  return lines.join('\n');
}

/** Waits until the text and its light are worked out. */
export async function settled(page: Page): Promise<void> {
  await page.locator('.cm-content').waitFor({ state: 'attached' });
  await page.getByText('Working it out').waitFor({ state: 'hidden' });
}

/**
 * Where something stands in the window, once it is drawn there and stands still: a picture that is
 * drawn anew is gone for a moment, and what comes above it moves it down.
 */
export async function boxOf(place: Locator): Promise<Box> {
  const boxes: Box[] = [];
  await until(async () => {
    const box = await place.boundingBox();
    if (box) boxes.unshift(box);
    return box !== null && boxes.length > 1 && isDeepStrictEqual(box, boxes[1]);
  });
  return itemAt(boxes, 0);
}

/** Puts the cursor behind the first place of some text, and waits for what the editor fetches when it is used. */
export async function cursorAfter(page: Page, text: string): Promise<void> {
  const at = (await textIn(page)).indexOf(text);
  if (at < 0) throw new Error(`the text has no ${text}`);
  await page.evaluate(
    `(() => { const view = document.querySelector('.cm-content').cmTile.view; view.focus(); view.dispatch({ selection: { anchor: ${at + text.length} }, scrollIntoView: true }); })()`,
  );
  await page.locator('.cm-content[aria-autocomplete]').waitFor({ state: 'attached' });
}

/** Waits until a file reads so. */
export const fileReads = (path: string, text: string): Promise<void> =>
  until(() => readFileSync(path, 'utf8') === text);

/** What axe finds that is serious or critical. */
export async function seriousIn(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  const found: { id: string; impact: string; nodes: { html: string; failureSummary: string }[] }[] =
    await page.evaluate(`axe.run(document).then(({ violations }) => violations)`);
  return found
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .flatMap(({ id, nodes }) => nodes.map(({ html, failureSummary }) => `${id}: ${html} ${failureSummary}`));
}

/** How much wider than the window the page is, px. */
export const sideways = (page: Page): Promise<number> =>
  page.evaluate('document.documentElement.scrollWidth - innerWidth');

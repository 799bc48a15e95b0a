/** The desk's page as somebody uses it: by mouse, by keys, by what is written on it. */

import { readFileSync } from 'node:fs';
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { until } from '../../support/until.ts';

/** Opens the desk in a new window; `faults` gathers what the browser complains of. */
export async function openPage(
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

/** Puts the cursor behind the first place of some text. */
export async function cursorAfter(page: Page, text: string): Promise<void> {
  const at = (await textIn(page)).indexOf(text);
  if (at < 0) throw new Error(`the text has no ${text}`);
  await page.evaluate(
    `(() => { const view = document.querySelector('.cm-content').cmTile.view; view.focus(); view.dispatch({ selection: { anchor: ${at + text.length} }, scrollIntoView: true }); })()`,
  );
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

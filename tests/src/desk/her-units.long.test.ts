/** A plan in inches on the desk: no pane says a metric unit, in what is read, drawn, or written into a field. */

import { afterAll, beforeAll, expect, it } from 'vitest';
import { metricIn } from '../../support/metric.ts';
import { needs } from '../../support/needs.ts';
import { end, startDesk, sweep } from './desk.ts';
import { chromiumDesks, settled } from './page.ts';
import { livedRack } from './rack-lived.ts';

needs(['chromium'], 'the desk of a plan in inches', () => {
  const desks = chromiumDesks();
  beforeAll(desks.begin);
  afterAll(desks.end);

  it('hears no metric unit in any pane', async () => {
    const rack = await livedRack('wire-rack');
    await rack.json('note', rack.plan, 'A-1', '--height', '2 1/2 in', '--mass', '3 oz');
    const desk = await startDesk(rack.plan);
    const { page } = await desks.open(desk.address);
    try {
      await settled(page);
      const shown = new Map<string, string>();
      // Every pane that the page offers, so that a new one is heard too.
      const titles = await page.locator('header button[aria-pressed]').allTextContents();
      expect(titles.length).toBeGreaterThanOrEqual(5);
      for (const title of titles) {
        await page.getByRole('button', { name: title, exact: true }).click();
        await page.waitForLoadState('networkidle');
        await settled(page);
        const text: string = await page.evaluate(`(() => {
          const fields = [...document.querySelectorAll('input, textarea, select')].map((one) => one.value);
          return document.body.outerHTML + ' ' + fields.join(' \\n ');
        })()`);
        shown.set(title, text);
        expect(metricIn(text), title).toEqual([]);
      }
      // Not for want of anything to say.
      const all = [...shown.values()].join(' ');
      expect(all).toMatch(/\d in\b/);
    } finally {
      await page.close({ runBeforeUnload: false });
      await end(desk.child);
      sweep(rack.folder);
    }
  });
});

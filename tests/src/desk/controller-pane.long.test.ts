/** The controller pane as somebody uses it, by keys alone. */

import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { chromiumDesks, seriousIn, settled, sideways } from './page.ts';

needs(['chromium'], 'the controller pane', () => {
  const desks = chromiumDesks();

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('makes a virtual controller, flashes it over a reload, lets a week pass: by keys, on a phone too', async () => {
    await desks.withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      await page.getByRole('button', { name: 'Controller' }).press('Enter');
      const pane = page.locator('[data-pane=controller]');
      const choice = pane.getByLabel('Controller on');
      await choice.focus();
      await until(async () => {
        await page.keyboard.press('ArrowDown');
        return (await choice.inputValue()) === 'new';
      });
      await pane.getByLabel('Its time begins on').fill('2026-03-20');
      await pane.getByRole('button', { name: 'Make it' }).press('Enter');
      await pane.getByText('Until it is flashed, what it does now is shown').first().waitFor();
      await pane.getByRole('rowheader', { name: 'Clock' }).waitFor();
      expect(await seriousIn(page)).toEqual([]);
      await pane.getByRole('button', { name: 'Flash the plan' }).press('Enter');
      await pane.getByText('Put this on the controller?').waitFor();
      expect(await seriousIn(page)).toEqual([]);
      // The page is closed and opened again: the flash still asks.
      await page.reload();
      await settled(page);
      await page.getByRole('button', { name: 'Controller' }).press('Enter');
      await pane.getByText(/A-left +light on \d+ days/).waitFor();
      await pane.getByRole('button', { name: 'Yes' }).press('Enter');
      await pane.getByText('Light each lamp in turn now').waitFor();
      await pane.getByRole('button', { name: 'No', exact: true }).press('Enter');
      await pane.getByText('pantry now runs this plan').waitFor();
      await pane.getByRole('heading', { name: /^Flash virtual:rack.controller/ }).waitFor();
      await page.setViewportSize({ width: 390, height: 844 });
      await page.emulateMedia({ colorScheme: 'dark' });
      await pane.getByRole('button', { name: 'Let it pass' }).press('Enter');
      await pane.getByText('records added to pantry.virtual.archive.sqlite').waitFor();
      await pane.getByRole('row', { name: /^Clock 2026-03-27/ }).waitFor();
      expect(await sideways(page)).toBe(0);
      expect(await seriousIn(page)).toEqual([]);
    });
  });
});

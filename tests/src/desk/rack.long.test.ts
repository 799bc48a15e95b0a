import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { leanward } from '../cli/run.ts';
import { boxOf, chromiumDesks, seriousIn, settled } from './page.ts';

/** Puts the hand on a day. */
const goTo = (page: Page, day: number): Promise<void> => page.getByLabel('Day').first().fill(String(day));

needs(['chromium'], 'the rack on the desk', () => {
  const desks = chromiumDesks();
  const { withDesk } = desks;

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('draws the likely lean of the hand’s day, in the figures of `light`, and says that it is an estimate', async () => {
    await withDesk(['pantry'], async ({ page, folder }) => {
      const { out } = await leanward('light', '--json', join(folder, 'pantry.plan.yaml'));
      const zone = sure(JSON.parse(out).zones.find((one: { zone: string }) => one.zone === 'A'));
      const { from, days } = zone.likelyLean;
      const first = sure(dayFromIso(from));
      await settled(page);
      const lean = page.getByRole('region', { name: 'Likely lean on shelf upper' });
      await lean.getByText(`begins on ${from}`).first().waitFor();
      const row = lean
        .getByRole('row')
        .filter({ has: page.getByRole('rowheader', { name: 'A', exact: true }) });
      for (const { day, angle, angleLow, angleHigh, drift } of [days[3], days[6]]) {
        await goTo(page, first + day - 1);
        await row.getByText(`day ${day}`, { exact: true }).waitFor();
        const cells = await row.getByRole('cell').allTextContents();
        expect(cells[1]).toBe(
          `${Math.round(angle)}° (${Math.round(angleLow)}° to ${Math.round(angleHigh)}°)`,
        );
        expect(cells[3]).toMatch(new RegExp(`^${Math.round(drift)} mm `));
        expect(await lean.getByRole('img', { name: 'Likely lean of zone A, an estimate' }).count()).toBe(1);
      }
      expect(await lean.getByRole('heading').textContent()).toMatch(/estimate/);
      expect(await seriousIn(page)).toEqual([]);
    });
  });

  it('maps the level between the bags at a height that is dragged, moved by keys or typed; lamps stay within reach', async () => {
    await withDesk(['wire-rack'], async ({ page }) => {
      await settled(page);
      const shelf = page.getByRole('region', { name: 'shelf one' });
      const open = shelf.locator('.open-light rect[fill^=rgb]');
      await open.first().waitFor();
      const colours = () => open.evaluateAll((all) => all.map((one) => one.getAttribute('fill')).join());
      const first = await colours();
      const typed = shelf.getByRole('textbox', { name: 'Light at, above the shelf' });
      const before = await typed.inputValue();
      const line = shelf.getByRole('slider', { name: 'Height at which the light is shown' });
      const grip = await boxOf(line.locator('rect').first());
      await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
      await page.mouse.down();
      await page.mouse.move(grip.x + grip.width / 2, grip.y - 40, { steps: 5 });
      await page.mouse.up();
      await until(async () => Number.parseFloat(await typed.inputValue()) > Number.parseFloat(before));
      const dragged = await typed.inputValue();
      await until(async () => (await colours()) !== first);
      // The line has the focus now: keys move it, a quarter inch each.
      await page.keyboard.press('ArrowDown');
      await page.keyboard.press('ArrowDown');
      const lower = Number.parseFloat(dragged) - 0.5;
      await until(async () => Math.abs(Number.parseFloat(await typed.inputValue()) - lower) < 0.05);
      await typed.fill(before);
      await typed.press('Enter');
      await until(async () => (await colours()) === first);
      // The line crosses the lamps, and leaves them to be picked.
      const lamp = await boxOf(shelf.locator('.picture').first().locator('[data-name=A-front]'));
      await page.mouse.click(lamp.x + lamp.width / 3, lamp.y + lamp.height / 2);
      await page.getByRole('heading', { name: /lamp A-front/ }).waitFor();
      expect(await seriousIn(page)).toEqual([]);
    });
  });
});

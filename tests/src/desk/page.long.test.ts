import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { samplePlan } from '../../support/boards.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { leanward } from '../cli/run.ts';
import { chromiumDesks, cursorAfter, fileReads, seriousIn, settled, textIn } from './page.ts';

needs(['chromium'], 'the page of the desk, further', () => {
  const desks = chromiumDesks();
  const { withDesk, open } = desks;

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('offers keys, words and names, and says what a key is for', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      await cursorAfter(page, 'upper-mid: { shelf: upper,');
      await page.keyboard.type(' y');
      await page.locator('.cm-tooltip-autocomplete').getByText('y', { exact: true }).first().waitFor();
      await page.keyboard.press('Escape');
      await cursorAfter(page, 'zones: [A, C');
      await page.keyboard.type(', ');
      await page.keyboard.press('Control+ ');
      const offered = page.locator('.cm-tooltip-autocomplete li');
      await offered.first().waitFor();
      expect(await offered.allTextContents()).toEqual(['A', 'B', 'C', 'D']);
      await page.keyboard.press('Escape');
      await cursorAfter(page, 'place:');
      await page.locator('.cm-line', { hasText: 'timezone' }).getByText('timezone').hover();
      await page.locator('.key-help').getByText('IANA time zone').waitFor();
    });
  });

  it('shows the minute the hand is on, and what a lamp gives when it is pointed at', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      const hand = page.getByRole('region', { name: 'Time' });
      await hand.getByText('burning: A-left, A-right, C-left and C-right').waitFor();
      await hand.getByLabel('Time of day').fill('120');
      await hand.getByText('no lamp burns').waitFor();
      await hand.getByLabel('Time of day').fill('720');
      await hand.getByText('burning: A-left').waitFor();
      await page.locator('.picture').nth(1).locator('[data-name=A-left]').focus();
      const table = page.locator('section.shelf').first().locator('table');
      await table.getByText('from A-left').waitFor();
      expect(await table.locator('tbody tr').first().locator('td').nth(4).textContent()).toMatch(/^\d\d %$/);
    });
  });

  it('writes nothing over a file that was changed underneath: it shows both, and one is chosen', async () => {
    await withDesk(['pantry'], async ({ page, path }) => {
      await settled(page);
      const before = readFileSync(path, 'utf8');
      await page.locator('.cm-content').click();
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# mine\n');
      await page.getByText('not saved; kept').waitFor();
      writeFileSync(path, `${before}# theirs\n`);
      await page.getByText(/was changed in the file while other text is here/).waitFor();
      await page.keyboard.press('Control+s');
      await page.getByRole('button', { name: 'Look at both' }).click();
      await page.locator('.merge').getByText('# theirs').first().waitFor();
      await page.locator('.merge').getByText('# mine').first().waitFor();
      expect(await seriousIn(page)).toEqual([]);
      expect(readFileSync(path, 'utf8')).toBe(`${before}# theirs\n`);
      await page.getByRole('button', { name: "Take the file's" }).click();
      await until(async () => (await textIn(page)) === `${before}# theirs\n`);
      // Undoing brings back what was typed here.
      await page.locator('.cm-content').focus();
      await page.keyboard.press('Control+z');
      expect(await textIn(page)).toBe(`${before}# mine\n`);
    });
  });

  it('shows one text in two windows, and what is saved outside at once where nothing is typed', async () => {
    await withDesk(['pantry'], async ({ desk, page, path }) => {
      await settled(page);
      const { page: other } = await open(desk.address);
      await settled(other);
      const before = readFileSync(path, 'utf8');
      await page.locator('.cm-content').click();
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# here\n');
      await until(async () => (await textIn(other)) === `${before}# here\n`);
      await other.locator('.cm-content').click();
      await other.keyboard.press('Control+Home');
      await other.keyboard.type('# there\n');
      await until(async () => (await textIn(page)) === `# there\n${before}# here\n`);
      await other.keyboard.press('Control+s');
      await fileReads(path, `# there\n${before}# here\n`);
      await page.getByText('saved', { exact: true }).waitFor();
      writeFileSync(path, before);
      await until(async () => (await textIn(page)) === before);
      await other.close();
    });
  });

  it('offers a first plan as `init` writes it, and the plans of a folder', async () => {
    await withDesk([], async ({ folder, page }) => {
      await page.getByText('There is no plan in').waitFor();
      expect(await seriousIn(page)).toEqual([]);
      await page.getByLabel('How many shelves?').selectOption('3');
      await page.getByLabel('Inches or millimetres').selectOption('mm');
      await page.getByLabel('first bags sealed').fill('2026-02-16');
      await page.getByRole('button', { name: 'Write the plan' }).press('Enter');
      await settled(page);
      const written = readFileSync(join(folder, 'rack.plan.yaml'), 'utf8');
      const zone = /timezone: (\S+)/.exec(written)?.[1] ?? '';
      const asked = ['--shelves', '3', '--units', 'mm', '--sealed', '2026-02-16', '--timezone', zone];
      await leanward('init', join(folder, 'second.plan.yaml'), ...asked);
      expect(written).toBe(readFileSync(join(folder, 'second.plan.yaml'), 'utf8'));
      await page.getByRole('combobox', { name: 'Plan' }).selectOption('second.plan.yaml');
      await until(async () => page.url().endsWith('#second.plan.yaml'));
      // Another one, beside those that are there.
      await page.getByRole('combobox', { name: 'Plan' }).selectOption('a new plan …');
      await page.getByRole('button', { name: 'second.plan.yaml' }).waitFor();
      await page.getByLabel('Name of the file').fill(' third ');
      await page.getByRole('button', { name: 'Write the plan' }).click();
      await until(async () => page.url().endsWith('#third.plan.yaml'));
    });
  });

  it('keeps the line breaks a file has', async () => {
    await withDesk(['pantry'], async ({ page, path }) => {
      const windows = samplePlan('pantry').replaceAll('\n', '\r\n');
      writeFileSync(path, windows);
      await settled(page);
      await until(async () => (await textIn(page)) === samplePlan('pantry'));
      await page.getByText('saved', { exact: true }).waitFor();
      await page.locator('.cm-content').click();
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# end\n');
      await page.keyboard.press('Control+s');
      await fileReads(path, `${windows}# end\r\n`);
    });
  });
});

import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { leanward } from '../cli/run.ts';
import { chromiumDesks, cursorAfter, fileReads, settled, textIn } from './page.ts';

needs(['chromium'], 'the page of the desk', () => {
  const desks = chromiumDesks();
  const { withDesk } = desks;

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('finds a fault at its line as it is typed, mends it at a press, takes that back, saves', async () => {
    await withDesk(['pantry'], async ({ page, path }) => {
      const before = readFileSync(path, 'utf8');
      await settled(page);
      expect(page.url()).not.toMatch(/token/);
      await cursorAfter(page, 'facing: rig');
      await page.keyboard.press('Backspace');
      await page.keyboard.type('h');
      const finding = page.locator('.finding.error');
      await finding.waitFor();
      expect(await finding.locator('.place').textContent()).toMatch(
        /not a word known here.*value-unknown-word, line 26/,
      );
      expect(await page.locator('.cm-lint-marker-error').count()).toBe(1);
      // The words are those of `check`.
      const broken = join(path, '..', 'broken.yaml');
      writeFileSync(broken, await textIn(page));
      const checked = JSON.parse((await leanward('check', '--json', broken)).out);
      const words = await finding.locator('p').first().textContent();
      expect(
        checked.findings.map(({ message }: { message: string }) => message.replaceAll('`', '')),
      ).toContain(words);
      await finding.getByRole('button', { name: 'Write right' }).click();
      await settled(page);
      expect(await textIn(page)).toBe(before);
      await page.locator('.cm-content').focus();
      await page.keyboard.press('Control+z');
      expect(await textIn(page)).toMatch(/facing: rihht/);
      await page.keyboard.press('Control+y');
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# by hand\n');
      await page.keyboard.press('Control+s');
      await fileReads(path, `${before}# by hand\n`);
      await page.getByText('saved', { exact: true }).waitFor();
      expect(await textIn(page)).toBe(`${before}# by hand\n`);
    });
  });

  it('saves what is still on its way to be kept, once', async () => {
    await withDesk(['smallest'], async ({ page, path }) => {
      await settled(page);
      const before = readFileSync(path, 'utf8');
      let [held, answered] = [0, 0];
      page.on('response', (response) => (answered += Number(response.url().includes('/unsaved'))));
      await page.route(/\/unsaved/, async (route) => {
        held += 1;
        await new Promise((resolve) => setTimeout(resolve, 500));
        await route.continue();
      });
      await cursorAfter(page, before);
      await page.keyboard.type('# by hand\n');
      await page.keyboard.press('Control+s');
      await fileReads(path, `${before}# by hand\n`);
      await page.getByText('saved', { exact: true }).waitFor();
      await until(() => held > 0 && answered === held);
      await page.getByText('saved', { exact: true }).waitFor();
      expect(await textIn(page)).toBe(`${before}# by hand\n`);
    });
  });
});

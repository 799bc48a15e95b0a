import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { samplePlan } from '../../support/boards.ts';
import { type OpenedBrowser, openChromium } from '../../support/chromium.ts';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { leanward } from '../cli/run.ts';
import { end, folderWith, type StartedDesk, startDesk, sweep } from './desk.ts';
import { cursorAfter, fileReads, openPage, seriousIn, settled, sideways, textIn } from './page.ts';

needs(['chromium'], 'the page of the desk', () => {
  let browser: OpenedBrowser;
  const open = (address: string) => openPage(() => browser.context.newPage(), address);

  /** A folder, its desk and its page, for one test. */
  async function withDesk(
    plans: readonly string[],
    work: (all: { folder: string; desk: StartedDesk; page: Page; path: string }) => Promise<void>,
  ): Promise<void> {
    const folder = folderWith(...plans);
    const desk = await startDesk(folder);
    const { page, faults } = await open(desk.address);
    try {
      await work({ folder, desk, page, path: join(folder, `${plans[0]}.plan.yaml`) });
      expect(faults.filter((fault) => !/ERR_CONNECTION_REFUSED|ERR_INCOMPLETE|net::ERR/.test(fault))).toEqual(
        [],
      );
    } finally {
      await page.close({ runBeforeUnload: false });
      await end(desk.child);
      sweep(folder);
    }
  }

  beforeAll(async () => {
    browser = await openChromium({ viewport: { width: 1400, height: 1000 } });
  });
  afterAll(() => browser.close());

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
      expect(checked.findings.map(({ message }: { message: string }) => message)).toContain(words);
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
    });
  });

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

  it('moves a lamp by mouse and by keys: only its lengths change, the light follows, and undoing brings all back', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      const before = await textIn(page);
      const lamp = page.locator('.picture').nth(1).locator('[data-name=A-left]');
      const level = page.locator('section.shelf').first().locator('tbody tr').first().locator('td').nth(1);
      await level.waitFor();
      const levelBefore = await level.textContent();
      const box = await lamp.boundingBox();
      if (!box) throw new Error('the lamp is not drawn');
      await page.mouse.move(box.x + 6, box.y + box.height / 2);
      await page.mouse.down();
      await page.mouse.move(box.x + 40, box.y + box.height / 2, { steps: 8 });
      await page.mouse.up();
      await until(async () => (await textIn(page)) !== before);
      await settled(page);
      const moved = await textIn(page);
      const [old, now] = [before.split('\n'), moved.split('\n')];
      const changed = now.filter((line, n) => line !== old[n]);
      expect(changed).toHaveLength(1);
      expect(changed[0]).toMatch(
        /^ {2}A-left: {2}\{ shelf: upper, output: pantry\/1, strip: \{ from: \[(\d+) mm, 20 mm, 330 mm\], {3}to: \[\1 mm, 430 mm, 330 mm\] \}, {3}facing: right/,
      );
      await until(async () => (await level.textContent()) !== levelBefore);
      await page.locator('.cm-content').focus();
      await page.keyboard.press('Control+z');
      expect(await textIn(page)).toBe(before);
      await settled(page);
      // The front view, by keys: 5 mm up.
      await page.locator('.picture').first().locator('[data-name=A-left]').focus();
      await page.keyboard.press('ArrowUp');
      await until(async () =>
        (await textIn(page)).includes(
          'A-left:  { shelf: upper, output: pantry/1, strip: { from: [10 mm, 20 mm, 335 mm]',
        ),
      );
      await settled(page);
      // And typed.
      await page.getByLabel('from the left').fill('20 mm');
      await page.getByLabel('from the left').press('Enter');
      await until(async () =>
        (await textIn(page)).includes(
          'strip: { from: [20 mm, 20 mm, 335 mm],   to: [20 mm, 430 mm, 335 mm] }',
        ),
      );
    });
  });

  it('shows the minute the hand is on, and what a lamp gives when it is pointed at', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      const hand = page.getByRole('region', { name: 'Time' });
      await hand.getByText('burning: A-left, A-right, C-left, C-right').waitFor();
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

  it('keeps what was typed through a reload, and through a server that is killed and started again', async () => {
    await withDesk(['pantry'], async ({ folder, desk, page, path }) => {
      await settled(page);
      const before = readFileSync(path, 'utf8');
      await page.locator('.cm-content').click();
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# one\n');
      await page.getByText('not saved; kept for the next time').waitFor();
      await page.reload();
      await settled(page);
      expect(await textIn(page)).toBe(`${before}# one\n`);
      await end(desk.child, 'SIGKILL');
      await page.locator('.cm-content').click();
      await page.keyboard.press('Control+End');
      await page.keyboard.type('# two\n');
      await page
        .getByText(/The desk has stopped/)
        .first()
        .waitFor();
      const again = await startDesk(folder);
      try {
        expect(again.address).toBe(desk.address);
        await page.getByText('not saved; kept for the next time').waitFor();
        expect(await textIn(page)).toBe(`${before}# one\n# two\n`);
        expect(readFileSync(path, 'utf8')).toBe(before);
        await page.getByRole('button', { name: 'Save' }).click();
        await fileReads(path, `${before}# one\n# two\n`);
      } finally {
        await end(again.child);
      }
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
    });
  });

  it.each(['light', 'dark'] as const)(
    'has nothing serious for axe, %s; on a phone nothing scrolls sideways',
    async (scheme) => {
      await withDesk(['wire-rack'], async ({ page }) => {
        await page.emulateMedia({ colorScheme: scheme });
        await settled(page);
        await page.locator('tbody tr').first().waitFor();
        expect(await seriousIn(page)).toEqual([]);
        await page.setViewportSize({ width: 390, height: 844 });
        expect(await sideways(page)).toBe(0);
        expect(await seriousIn(page)).toEqual([]);
        await page.getByRole('button', { name: 'Rack' }).click();
        expect(await sideways(page)).toBe(0);
        expect(await seriousIn(page)).toEqual([]);
      });
    },
  );

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

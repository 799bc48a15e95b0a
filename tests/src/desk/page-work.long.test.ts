import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { end, startDesk } from './desk.ts';
import {
  boxOf,
  chromiumDesks,
  cursorAfter,
  fileReads,
  seriousIn,
  settled,
  sideways,
  textIn,
} from './page.ts';

needs(['chromium'], 'the page of the desk at work', () => {
  const desks = chromiumDesks();
  const { withDesk } = desks;

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('takes a lamp’s spectrum from beside the plan or a folder there, and again when it changes', async () => {
    await withDesk(['pantry'], async ({ page, folder }) => {
      await settled(page);
      writeFileSync(join(folder, 'bad.csv'), 'nm;power\n400;dark\n');
      mkdirSync(join(folder, 'lamps'));
      writeFileSync(join(folder, 'lamps', 'red.csv'), 'nm;power\n630;0\n650;0,5\n660;1\n670;0,5\n690;0\n');
      await cursorAfter(page, 'flux: 480 lm');
      await page.keyboard.type(', spectrum: bad.csv');
      await page.getByText('bad.csv, line 2: two numbers are due here').first().waitFor();
      await cursorAfter(page, 'spectrum: bad');
      for (let n = 0; n < 3; n++) await page.keyboard.press('Backspace');
      await page.keyboard.type('lamps/red');
      await page
        .getByText(/Growth bends to blue.*lamp A-left gives/)
        .first()
        .waitFor();
      writeFileSync(join(folder, 'lamps', 'red.csv'), 'nm;power\n400;dark\n');
      await page.getByText('lamps/red.csv, line 2: two numbers are due here').first().waitFor();
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
      const box = await boxOf(lamp);
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
      // The drag was undone, and the picture tells of it no more.
      const left = page.getByLabel('from the left');
      await until(async () => (await left.inputValue()) === '10 mm');
      // And typed.
      await left.fill('20 mm');
      await left.press('Enter');
      await until(async () =>
        (await textIn(page)).includes(
          'strip: { from: [20 mm, 20 mm, 335 mm],   to: [20 mm, 430 mm, 335 mm] }',
        ),
      );
      // Keys pressed one upon the other are each a move, wherever the picture is.
      await page.locator('.picture').first().locator('[data-name=A-left]').focus();
      for (let n = 0; n < 3; n++) await page.keyboard.press('ArrowDown');
      await until(async () =>
        (await textIn(page)).includes(
          'strip: { from: [20 mm, 20 mm, 320 mm],   to: [20 mm, 430 mm, 320 mm] }',
        ),
      );
    });
  });

  it('runs the weeks with a power cut: the gap is told and drawn, and the rack is dark meanwhile', async () => {
    await withDesk(['pantry'], async ({ page }) => {
      await settled(page);
      await page.getByRole('button', { name: 'Weeks' }).click();
      await page.getByText('Each zone gets its hours of light on every day.').waitFor();
      expect(await seriousIn(page)).toEqual([]);
      const hand = page.locator('[data-pane=weeks]').getByRole('region', { name: 'Time' });
      await hand.getByText('2026-03-16 12:00').waitFor();
      await hand.getByText('burning: A-left').waitFor();
      await page.getByRole('button', { name: 'Let it happen on 2026-03-16 at 12:00' }).press('Enter');
      const row = page.locator('[data-pane=weeks] tbody tr').first();
      await row.waitFor();
      expect(await row.locator('th, td').allTextContents()).toEqual(['A', '2026-03-16', '8.0 h', '6.0 h']);
      await hand.getByText('no lamp burns').waitFor();
      expect(
        await page.locator('.bands title', { hasText: '6.0 h of light where 8.0 h are asked' }).count(),
      ).toBe(2);
      await page.getByRole('button', { name: 'Take out 2026-03-16 12:00 cut 2h' }).click();
      await page.getByText('Each zone gets its hours of light on every day.').waitFor();
      await hand.getByText('burning: A-left').waitFor();
      await hand.getByRole('button', { name: 'Run the day' }).click();
      await hand.getByText('2026-03-16 23:50').waitFor();
      await hand.getByRole('button', { name: 'Run the day' }).waitFor();
    });
  });

  it('fetches a pane when it is opened, by keys too; where it cannot be fetched, says so and tries again', async () => {
    await withDesk(['smallest'], async ({ page }) => {
      await settled(page);
      let asked = 0;
      await page.route(/weeks-pane/, (route) => {
        asked += 1;
        return asked === 1 ? route.abort() : route.continue();
      });
      expect(asked).toBe(0);
      await page.getByRole('button', { name: 'Weeks' }).focus();
      await page.keyboard.press('Enter');
      const pane = page.getByRole('region', { name: 'Weeks' });
      await pane.getByText('This could not be fetched').waitFor();
      await pane.getByRole('button', { name: 'Try again' }).press('Enter');
      await pane.getByText('Let it happen on').waitFor();
      expect(asked).toBe(2);
      await page.getByRole('button', { name: 'Rack' }).press(' ');
      await page.getByRole('region', { name: 'Rack' }).locator('.picture').first().waitFor();
      expect(await pane.isVisible()).toBe(false);
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
        for (const name of ['Rack', 'Weeks']) {
          await page.getByRole('button', { name }).click();
          expect(await sideways(page)).toBe(0);
          expect(await seriousIn(page)).toEqual([]);
        }
      });
    },
  );
});

/** An evening at the desk, by mouse and by keys, and what the commands then say of it. */

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { until } from '../../support/until.ts';
import { end, startDesk, sweep } from './desk.ts';
import { boxOf, chromiumDesks, seriousIn, settled, sideways } from './page.ts';
import { livedRack, PHOTO } from './rack-lived.ts';

/** Cells that reach over the window's edge. */
const OUTSIDE = (cells: string): string =>
  `[...document.querySelectorAll('${cells}')].filter((one) => one.getBoundingClientRect().right > innerWidth).map((one) => one.textContent)`;
/** Names that a line's end breaks in two. */
const BROKEN = `(() => {
  const found = [];
  const walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (node.parentElement.closest('svg, option, .cm-editor')) continue;
    for (const { 0: name, index } of node.data.matchAll(/(?<![A-Za-z0-9-])[A-Za-z0-9]+(-[0-9]+)+(?![A-Za-z0-9.-])/g)) {
      const range = document.createRange();
      range.setStart(node, index);
      range.setEnd(node, index + name.length);
      const lines = new Set([...range.getClientRects()].map(({ top }) => Math.round(top)));
      if (lines.size > 1) found.push(name);
    }
  }
  return found;
})()`;

needs(['chromium'], 'an evening at the desk', () => {
  const desks = chromiumDesks();

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('answers a visit, takes that back, notes with a photo, harvests, moves bags, and shows it in the review and another window', async () => {
    const rack = await livedRack();
    const photo = join(rack.folder, 'tips.png');
    writeFileSync(photo, PHOTO);
    const desk = await startDesk(rack.plan);
    const { page, faults } = await desks.open(desk.address);
    const { page: other } = await desks.open(desk.address);
    try {
      await settled(page);
      await page.getByRole('button', { name: 'Evening', exact: true }).click();
      await page.getByText('Today, Wed 2026-04-08').waitFor();
      await other.getByRole('button', { name: 'Evening', exact: true }).click();
      await other.getByText('Today, Wed 2026-04-08').waitFor();

      // One press; the other window sees it; one more takes it back.
      await page.getByRole('button', { name: 'Done: lift in A' }).click();
      await page.getByRole('button', { name: 'Undo: lift in A' }).waitFor();
      await other.getByRole('button', { name: 'Undo: lift in A' }).waitFor();
      const answers = async (): Promise<unknown[]> => {
        const { visits } = (await rack.json('visits', rack.plan)) as {
          visits: { day: string; kind: string; zone: string; answer?: string }[];
        };
        return visits
          .filter(({ day, kind }) => day === '2026-04-08' && kind === 'lift')
          .map(({ zone, answer }) => [zone, answer]);
      };
      await page.getByRole('button', { name: 'Done: lift in C' }).press('Enter');
      await page.getByRole('button', { name: 'Undo: lift in C' }).waitFor();
      expect(await answers()).toEqual([
        ['A', 'done'],
        ['C', 'done'],
      ]);
      await page.getByRole('button', { name: 'Undo: lift in C' }).press('Enter');
      await page.getByRole('button', { name: 'Done: lift in C' }).waitFor();
      expect(await answers()).toEqual([
        ['A', 'done'],
        ['C', undefined],
      ]);

      const entries = async (): Promise<unknown[]> => {
        const { notes } = (await rack.json('note', rack.plan)) as { notes: { kind: string }[] };
        return notes.filter(({ kind }) => kind !== 'sealed');
      };

      // What was overdue leaves the list with its answer, which can be taken back all the same.
      await page.getByRole('button', { name: 'Done: look in B' }).click();
      await page.getByRole('button', { name: 'Done: look in B' }).waitFor({ state: 'hidden' });
      await page.getByRole('button', { name: 'Undo: look in B' }).click();
      await page.getByRole('button', { name: 'Done: look in B' }).waitFor();

      // A note that is refused keeps what was written, and is then mended.
      await page.getByRole('button', { name: 'early-02' }).click();
      const book = page.getByRole('region', { name: 'The grow book' });
      await book.getByLabel('Height').fill('12');
      await book.getByLabel('Lean').fill('20 deg');
      await book.getByLabel('to the').selectOption('left');
      await book.getByLabel('Photo').setInputFiles(photo);
      await book.getByRole('button', { name: 'Write it into the book' }).click();
      await page.getByText("'12' needs a unit").waitFor();
      expect(await entries()).toEqual([]);
      await book.getByLabel('Height').fill('12 cm');
      await book.getByLabel('Height').press('Enter');
      await page.getByText(/^Kept: 2026-04-08 {1,2}early-02 \(A-2\)/).waitFor();
      const history = page.getByRole('region', { name: 'History of early-02' });
      await history.getByRole('img', { name: 'early-02, 2026-04-08' }).waitFor();
      const width = await page.evaluate(
        `document.querySelector('.photos img').decode().then(() => document.querySelector('.photos img').naturalWidth)`,
      );
      expect(width).toBe(1);
      expect(await seriousIn(page)).toEqual([]);

      await book.getByLabel('was').selectOption('harvested');
      await book.getByLabel('Fresh mass').fill('85 g');
      await book.getByRole('button', { name: 'Write it into the book' }).click();
      await page
        .getByText(/early-02.*harvested, 85 g fresh/)
        .first()
        .waitFor();
      await other.getByText('early: 3 of 4 bags in').waitFor();
      expect(await entries()).toMatchObject([
        { kind: 'note', bag: 'early-02', heightMm: 120, leanDeg: 20, photo: expect.stringMatching(/\.png$/) },
        { kind: 'harvest', bag: 'early-02', massG: 85 },
      ]);

      // One bag is dragged to the free place: shown, kept with one press, undone with another.
      await page.getByRole('button', { name: 'Rack', exact: true }).click();
      await page.getByRole('button', { name: 'Single bags' }).click();
      const above = page.locator('[data-view=above]');
      const bag = above.getByRole('button', { name: 'bag early-01 in A-1' });
      const middle = async (name: string): Promise<readonly [number, number]> => {
        const place = above.getByRole('button', { name });
        await place.scrollIntoViewIfNeeded();
        const { x, y, width, height } = await boxOf(place);
        return [x + width / 2, y + height / 2];
      };
      const drag = async (from: string, to: string): Promise<void> => {
        await page.mouse.move(...(await middle(from)));
        await page.mouse.down();
        await page.mouse.move(...(await middle(to)), { steps: 6 });
        await page.mouse.up();
      };
      const moves = async (): Promise<unknown[]> => {
        const { notes } = (await rack.json('note', rack.plan)) as { notes: { kind: string; bag: string }[] };
        return notes.filter(({ kind }) => kind === 'move').sort((a, b) => (a.bag < b.bag ? -1 : 1));
      };
      await drag('bag early-01 in A-1', 'free place A-2');
      const offer = page.getByRole('region', { name: 'What will be written' });
      await offer.getByText('early-01 (A-1) moved to A-2').waitFor();
      expect(await moves()).toEqual([]);
      expect(await seriousIn(page)).toEqual([]);
      await offer.getByRole('button', { name: 'Move it' }).click();
      await above.getByRole('button', { name: 'bag early-01 in A-2' }).waitFor();
      expect(await moves()).toMatchObject([{ bag: 'early-01', to: { zone: 'A', position: 2 } }]);
      await page.getByRole('button', { name: 'Undo', exact: true }).click();
      await bag.waitFor();
      expect(await moves()).toEqual([]);
      // Onto a bag of other light: refused as the command does.
      await drag('bag early-01 in A-1', 'bag late-01 in B-1');
      await page.getByRole('region', { name: 'Single bags' }).getByText('Zone B is lit for late').waitFor();
      // By keys alone two bags change places.
      await bag.focus();
      await page.keyboard.press('Escape');
      await page.keyboard.press('Enter');
      await above.getByRole('button', { name: 'bag early-03 in C-1' }).press('Enter');
      await offer.getByRole('heading', { name: /Two bags change places\?/ }).waitFor();
      await offer.locator('button:focus', { hasText: 'Let them change places' }).waitFor();
      await page.keyboard.press('Enter');
      await above.getByRole('button', { name: 'bag early-03 in A-1' }).waitFor();
      expect(await moves()).toMatchObject([
        { bag: 'early-01', to: { zone: 'C', position: 1 } },
        { bag: 'early-03', to: { zone: 'A', position: 1 } },
      ]);
      await page.getByRole('button', { name: 'Undo', exact: true }).press('Enter');
      await bag.waitFor();
      expect(await moves()).toEqual([]);

      // The review has it, as the command does.
      await page.getByRole('button', { name: 'Review', exact: true }).click();
      const sheet = page.locator('.sheet');
      await sheet.getByRole('heading', { name: 'The crop' }).waitFor();
      const { crop } = (await rack.json('review', rack.plan)) as { crop: unknown };
      expect(JSON.stringify(crop)).toMatch(/85/);
      expect(await sheet.getByRole('img', { name: 'Fresh mass a bag' }).count()).toBeGreaterThan(0);
      expect(await seriousIn(page)).toEqual([]);
      // What is folded on the screen lies open on paper.
      const folded = `[...document.querySelectorAll('.sheet details')].map((one) => one.querySelector('td').checkVisibility({ contentVisibilityAuto: true }))`;
      const onScreen = (await page.evaluate(folded)) as boolean[];
      expect(onScreen.length).toBeGreaterThan(0);
      expect(new Set(onScreen)).toEqual(new Set([false]));
      // A window in the background is not drawn.
      await page.bringToFront();
      await page.emulateMedia({ media: 'print' });
      await until(async () => ((await page.evaluate(folded)) as boolean[]).every(Boolean));
      await page.emulateMedia({ media: 'screen' });
      await page.locator('.review-pane select').selectOption('early');
      await sheet.getByText('harvested 2026-04-08').first().waitFor();
      await page.emulateMedia({ media: 'print' });
      expect(await page.locator('.cm-content').isVisible()).toBe(false);
      expect(await page.getByRole('button', { name: 'Print' }).isVisible()).toBe(false);
      expect((await page.pdf()).length).toBeGreaterThan(10_000);

      // Dark, and on a phone.
      await page.emulateMedia({ media: 'screen', colorScheme: 'dark' });
      await page.setViewportSize({ width: 390, height: 844 });
      // The panes are laid anew for the narrow window: the plan gets a button of its own. Measured before, the old width stays.
      await page.getByRole('button', { name: 'Plan', exact: true }).waitFor();
      await page.evaluate(
        'new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))',
      );
      for (const scheme of ['dark', 'light'] as const) {
        await page.emulateMedia({ colorScheme: scheme });
        for (const name of ['Review', 'Evening', 'Rack', 'Weeks']) {
          await page.getByRole('button', { name, exact: true }).click();
          if (name === 'Weeks') await page.getByRole('heading', { name: /What really happened/ }).waitFor();
          expect(await sideways(page), name).toBe(0);
          if (name === 'Review') expect(await page.evaluate(BROKEN)).toEqual([]);
          expect(await seriousIn(page)).toEqual([]);
        }
      }
      // What happened is read without scrolling; names of bags, places and days stay whole.
      expect(await page.evaluate(OUTSIDE('.happened td'))).toEqual([]);
      expect(await page.evaluate(BROKEN)).toEqual([]);
      await page.getByRole('button', { name: 'Evening', exact: true }).click();
      expect(await page.evaluate(BROKEN)).toEqual([]);
      expect(faults.filter((fault) => !/net::ERR|409/.test(fault))).toEqual([]);
    } finally {
      await page.close({ runBeforeUnload: false });
      await other.close({ runBeforeUnload: false });
      await end(desk.child);
      sweep(rack.folder);
    }
  });
});

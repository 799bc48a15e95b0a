/** The page of a review with its crop, as a phone shows it and Chromium prints it: nothing cut, each picture beside its table. */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import { reviewCrop } from '../../../../src/answers/crop/crop.ts';
import { CROP_STYLE, cropSection } from '../../../../src/answers/crop/page.ts';
import { page as wholePage } from '../../../../src/page/html.ts';
import { needs } from '../../../support/needs.ts';
import { day, planOf } from '../visits/plan.ts';
import { entry, harvests, SEASON_TEXT } from './book.ts';

const long = 'a long name that somebody gave to a lot in the third week of spring';
const plan = planOf(
  SEASON_TEXT.replace('lot: spring', `lot: "${long}"`).replace('strain: quay red', 'strain: "W & <M>"'),
);
const notes = [
  ...harvests('spring', 1, '2026-06-01', [80, 1182.5, 84]),
  ...harvests('march', 1, '2026-06-15', [120, 122, 124, 126, 90, 91, 95]),
  entry('spring-9', 'move', '2026-05-01', { to: { zone: 'B', position: 1 } }),
  entry('spring-7', 'cull', '2026-03-16'),
  entry('spring-8', 'cull', '2026-05-16', { why: 'leak' }),
];
const crop = sure(reviewCrop({ plan, notes, rooms: new Map(), today: day('2026-06-20') }));
const text = wholePage('Review', cropSection(plan, crop), CROP_STYLE);
/** A4 less margins of 15 mm, at 96 dots an inch. */
const PAPER = Math.floor((180 / 25.4) * 96);

needs(['chromium'], 'the crop in a browser', () => {
  const profile = mkdtempSync(join(tmpdir(), 'leanward-crop-'));
  let context: BrowserContext;
  beforeAll(async () => {
    context = await chromium.launchPersistentContext(profile, {
      ...{ executablePath: '/usr/bin/chromium', headless: true },
      args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking'],
    });
  });
  afterAll(async () => {
    await context?.close();
    rmSync(profile, { recursive: true, force: true });
  });

  it.each([
    ['a phone', 390, 'screen'],
    ['paper', PAPER, 'print'],
  ] as const)('fits %s', async (_, width, media) => {
    const page = await context.newPage();
    await page.setViewportSize({ width, height: 900 });
    await page.setContent(text);
    await page.emulateMedia({ media });
    const cut = await page.evaluate((most) => {
      const parts = [...document.querySelectorAll('table, td, th, svg, figure, li, p')];
      const over = parts.filter((part) => part.getBoundingClientRect().right > most + 0.5);
      const wide = parts.filter(
        (part) => !(part instanceof SVGElement) && part.scrollWidth > part.clientWidth + 1,
      );
      const labels = [...document.querySelectorAll('svg text')].filter((label) => {
        const [inner, outer] = [label, sureSvg(label)].map((one) => one.getBoundingClientRect());
        return inner && outer && (inner.right > outer.right + 1 || inner.left < outer.left - 1);
      });
      function sureSvg(label: Element): Element {
        return label.closest('svg') ?? label;
      }
      return [...over, ...wide, ...labels].map((part) => `${part.tagName} ${part.textContent?.slice(0, 60)}`);
    }, width);
    expect(cut).toEqual([]);
    await page.close();
  });

  it('has no picture whose mean is not in the table above it', async () => {
    const page = await context.newPage();
    await page.setContent(text);
    const missing = await page.evaluate(() =>
      [...document.querySelectorAll('.pictures')].flatMap((pictures) => {
        const told = pictures.previousElementSibling?.textContent ?? '';
        const means = [...pictures.querySelectorAll('g > title')].map((title) => title.textContent ?? '');
        return means.flatMap((words) => {
          const mean = words.slice(words.lastIndexOf(': ') + 2);
          return mean === 'nothing noted' || words.includes('%') || told.includes(mean) ? [] : [words];
        });
      }),
    );
    expect(missing).toEqual([]);
    expect(text.match(/<figure>/g)?.length).toBeGreaterThan(8);
    expect(text).toContain('W &#38; &#60;M&#62;');
    await page.close();
  });
});

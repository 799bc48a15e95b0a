/** The page of a review with its crop, as a phone shows it and Chromium prints it: nothing cut, each picture beside its table. */

import { expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import { reviewCrop } from '../../../../src/answers/crop/crop.ts';
import { CROP_STYLE, cropSection } from '../../../../src/answers/crop/page.ts';
import { page as wholePage } from '../../../../src/page/html.ts';
import { cutParts, describePrinted } from '../../../support/printed.ts';
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

describePrinted('the crop in a browser', (show) => {
  it.each([
    ['a phone', 390, 'screen'],
    ['paper', PAPER, 'print'],
  ] as const)('fits %s', async (_, width, media) => {
    const page = await show(text, { width, media });
    expect(await cutParts(page, 'table, td, th, svg, figure, li, p')).toEqual([]);
    const labels = await page.evaluate(() =>
      [...document.querySelectorAll('svg text')].flatMap((label) => {
        const [inner, outer] = [label, label.closest('svg') ?? label].map((one) =>
          one.getBoundingClientRect(),
        );
        const isCut = inner && outer && (inner.right > outer.right + 1 || inner.left < outer.left - 1);
        return isCut ? [label.textContent] : [];
      }),
    );
    expect(labels).toEqual([]);
    await page.close();
  });

  it('has no picture whose mean is not in the table above it', async () => {
    const page = await show(text);
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

/** Sentences for the next time: they follow from the figures, and are none without. */

import { describe, expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { type CropReview, reviewCrop } from '../../../../src/answers/crop/crop.ts';
import { nextTime } from '../../../../src/answers/crop/next-time.ts';
import { cropLines } from '../../../../src/answers/crop/text.ts';
import { day } from '../visits/plan.ts';
import { entry, harvests, season } from './book.ts';

const review = (notes: readonly Note[], plan = season): CropReview =>
  sure(reviewCrop({ plan, notes, rooms: new Map(), today: day('2026-06-20') }));
const said = (notes: readonly Note[]): string[] => nextTime(season, review(notes));

describe('next time', () => {
  it('is silent, and there is no review, where the book has nothing of any bag', () => {
    const nothing = [entry('spring', 'made', '2026-02-16', { stage: 'mixed' })];
    expect(
      reviewCrop({ plan: season, notes: nothing, rooms: new Map(), today: day('2026-06-20') }),
    ).toBeUndefined();
  });

  it('says which lot gave more where that is sure, by how much, and what else they differ in', () => {
    const notes = [
      ...harvests('spring', 1, '2026-06-01', [80, 82, 84, 86]),
      ...harvests('march', 1, '2026-06-15', [120, 122, 124, 126]),
    ];
    const [first] = said(notes);
    // Both stand in sway; zones differ. 40 g apart, each mean's error √(20/3/4) = 1.29, of the difference 1.826 with
    // 3 degrees of freedom. Five comparisons are made (this one, and losses of two lots and of three leans), so each
    // is to hold with 99 %: t is 5.841, and 40 ± 10.7.
    expect(first).toMatch(
      /^Lot: march gave 29 to 51 g more fresh mass a bag than spring; .*4 and 4 bags; 95 % sure/,
    );
    expect(first).toContain('They also differ in zone, so these bags cannot tell');
  });

  it('says that bags are too few, or that they show no difference, and nothing else', () => {
    const few = said([
      ...harvests('spring', 1, '2026-06-01', [80]),
      ...harvests('march', 1, '2026-06-15', [120]),
    ]);
    expect(few).toContain('Lot: too little was noted to tell a difference in fresh mass a bag.');
    expect(few.join()).not.toMatch(/gave|sooner|more bags than/);
    const same = said([
      ...harvests('spring', 1, '2026-06-01', [80, 90, 100, 110]),
      ...harvests('march', 1, '2026-06-15', [85, 95, 105, 115]),
    ]);
    expect(same.join()).not.toContain('gave');
    expect(same.join()).toMatch(
      /Lot: these bags show no sure difference in fresh mass a bag and bags lost\. With so few bags, a difference of up to \d+ g in fresh mass a bag and \d+ bags lost in 100 could still be there, for better or worse\./,
    );
  });

  it('does not call bags that are all alike surely different', () => {
    const alike = said([
      ...harvests('spring', 1, '2026-06-01', [80, 80, 80, 80]),
      ...harvests('march', 1, '2026-06-15', [85, 85, 85, 85]),
    ]);
    expect(alike.join()).not.toContain('gave');
    expect(alike).toContain('Lot: too little was noted to tell a difference in fresh mass a bag.');
  });

  it('tells no lean of more degrees than there are', () => {
    const leans = [
      ['spring-5', 10],
      ['spring-6', 80],
      ['march-5', 20],
      ['march-6', 60],
    ] as const;
    const words = said(
      leans.map(([bag, leanDeg]) => entry(bag, 'note', '2026-05-20', { leanDeg, leanSideDeg: 270 })),
    );
    expect(words).toContain('Lot: too little was noted to tell a difference in lean to the side asked for.');
    expect(words.join()).not.toContain('°');
  });

  it('tells of losses that surely differ', () => {
    const lost = Array.from({ length: 11 }, (_, i) => entry(`march-${i + 1}`, 'cull', '2026-04-15'));
    expect(said(lost).join('\n')).toMatch(
      /^Lot: march lost \d+ to \d+ more bags in 100 than spring; find out why/m,
    );
  });

  it('takes knobs that surely came before their day into the days of wake, whatever the plan was shifted by since', () => {
    // Day 42 by the regime; here on days 34, 35, 36 and 37: mean 35.5 ± 2.05.
    const knobs = [34, 35, 36, 37].map((after, i) =>
      entry(`spring-${i + 1}`, 'began', '2026-02-16', {
        stage: 'knobs',
        day: (day('2026-02-16') + after) as Note['day'],
      }),
    );
    expect(said(knobs).join('\n')).toMatch(
      /Knobs came on day 36 \(33 to 38; 4 bags, 95 % sure\), 6 days before climb begins in regime sway: write `days: 8` for its wake\./,
    );
    const onTime = [40, 42, 43, 44].map((after, i) =>
      entry(`spring-${i + 1}`, 'began', '2026-02-16', {
        stage: 'knobs',
        day: (day('2026-02-16') + after) as Note['day'],
      }),
    );
    expect(said(onTime).join('\n')).not.toContain('Knobs came');
  });

  it('takes growth that is surely not the estimate’s into the plan', () => {
    const grown = [5.0, 5.1, 5.2].flatMap((rate, i) => [
      entry(`spring-${i + 1}`, 'note', '2026-04-06', { heightMm: 10 }),
      entry(`spring-${i + 1}`, 'note', '2026-04-26', { heightMm: 10 + 20 * rate }),
    ]);
    // Mean 5.1, standard error 0.1/√3 = 0.0577, t of 2 is 4.303: ± 0.248.
    expect(said(grown).join('\n')).toContain('write growth: { rate: [4.9 mm/d, 5.1 mm/d, 5.3 mm/d] }');
  });

  it('and the whole review speak inches and ounces to a plan in inches', () => {
    const us = { ...season, units: 'us' as const };
    const notes = [
      ...harvests('spring', 1, '2026-06-01', [80, 82, 84, 86]),
      ...harvests('march', 1, '2026-06-15', [120, 122, 124, 126]),
    ];
    const text = cropLines(us, review(notes, us)).join('\n');
    expect(text).toMatch(/march gave 1\.?\d* to 1\.?\d* oz more/);
    expect(text).toContain('fresh mass from 1 lb of dry mix');
    expect(text).not.toMatch(/\d (g|mm|kg|°C)\b/);
  });
});

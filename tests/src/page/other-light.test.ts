/** Days with other light than asked, as the weeks draw them. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { drawnWeeks } from '../../../src/page/weeks-drawing.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

const { plan, timeline } = compilePlan(samplePlan('smallest'), { boards: BOARDS, advise: false });
const { demands, visits } = sure(timeline);
const { day } = itemAt(demands, 40);

/** What the day's blocks say: a gap in the band, then what stands out above it. */
function blocksOf(asked: number, lit: number, astray: number): string[] {
  const others = [{ zone: 0, day, asked, lit, astray }];
  const { text } = drawnWeeks(sure(plan), demands, visits, { others, marks: [] }).drawing;
  return [...text.matchAll(/<title>[^<]*: ([^<]* of light where [^<]*)<\/title>/g)].map(([, words]) =>
    sure(words),
  );
}

it('a day with less light has a gap, also where some of it came a minute late', () => {
  expect(blocksOf(480, 360, 0)).toEqual(['6.0 h of light where 8.0 h are asked']);
  expect(blocksOf(480, 360, 1)).toEqual(['6.0 h of light where 8.0 h are asked']);
});

it('light at other hours is missing in its own and stands out above', () => {
  const words = '8.0 h of light where 8.0 h are asked, 4.0 h of it at other hours';
  expect(blocksOf(480, 480, 240)).toEqual([words, words]);
});

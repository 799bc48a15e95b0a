/** The scale under a picture has round numbers of the unit that is read. */

import { expect, it } from 'vitest';
import { GRAMS_PER_OUNCE, meanHarvestWords } from '../../../shared/measures.ts';
import { intervalDrawing } from '../../../src/page/interval-drawing.ts';

const row = { label: 'W', values: [80, 93, 140], mean: 93, low: 80, high: 108 };

it.each([
  ['us', GRAMS_PER_OUNCE, ['0 oz', '2 oz', '4 oz']],
  ['metric', 1, ['0 g', '50 g', '100 g']],
] as const)('of %s units', (units, unit, scale) => {
  const { text } = intervalDrawing(
    'Fresh mass a bag',
    [row],
    (grams) => meanHarvestWords(grams, units),
    unit,
  );
  const ticks = [...text.matchAll(/text-anchor="[a-z]*">([^<]*)</g)].map(([, words]) => words);
  expect(ticks).toEqual(scale);
});

/** Rates of growth by zone and batch, for the estimate of the lean. */

import { describe, expect, it } from 'vitest';
import { zoneRates } from '../../../../src/answers/crop/zone-rates.ts';
import { planOf } from '../visits/plan.ts';
import { entry, SEASON_TEXT, season } from './book.ts';

/** Ten days apart, so a tenth of the difference a day. */
const grown = (bag: string, year: string, mm: number) => [
  entry(bag, 'note', `${year}-05-01`, { heightMm: 20 }),
  entry(bag, 'note', `${year}-05-11`, { heightMm: 20 + mm }),
];

describe('rates of growth', () => {
  it('of one batch take nothing from another that stood in the zone', () => {
    const twice = planOf(
      SEASON_TEXT.replace(
        /^batches:$/m,
        'batches:\n  before: { sealed: 2025-02-16, zones: [A], regime: sway, ended: 2025-06-20 }',
      ),
    );
    const notes = [...grown('before-1', '2025', 20), ...grown('spring-1', '2026', 60)];
    expect(zoneRates(twice, notes)).toEqual([
      { zone: 'A', batch: 'before', low: 1, mid: 2, high: 4 },
      { zone: 'A', batch: 'spring', low: 3, mid: 6, high: 12 },
    ]);
  });

  it('never have a low above the middle, however slow growth is', () => {
    const [rate] = zoneRates(season, grown('spring-1', '2026', 0.4));
    expect(rate).toEqual({ zone: 'A', batch: 'spring', low: 0.1, mid: 0.1, high: 0.1 });
  });
});

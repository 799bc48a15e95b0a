/** What is remarked of masses that can be true and hardly are, against hand calculation. */

import { describe, expect, it } from 'vitest';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { harvestEntries } from '../../../../src/answers/book/harvest-entries.ts';
import { harvestTold } from '../../../../src/answers/book/harvest-told.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** Five bags of 5 lb; without a mix 40 % of that counts as dry: 2 lb, 907.2 g. */
const plan = planOf(sampleText('smallest'));
const OUNCE = 28.349523125;
const POUND = 453.59237;

function told(
  freshG: readonly number[] | undefined,
  dryG: readonly number[] | undefined,
  before: readonly Note[] = [],
  iso = '2026-05-30',
): { readonly entries: readonly Note[]; readonly remarks: readonly string[] } {
  let ids = 0;
  const newId = (): string => {
    ids += 1;
    return `id-${ids}`;
  };
  const writing = { plan, name: 'smallest', day: day(iso), nowMs: 0, newId };
  const lives = bagLives(plan, before).slice(0, (freshG ?? dryG ?? []).length);
  const entries = harvestEntries(writing, lives, { freshG, dryG, isTogether: false, text: undefined });
  return { entries, remarks: harvestTold(plan, before, entries, lives) };
}

describe('a harvest', () => {
  it('of more than growth gives is remarked, with the way on', () => {
    const { remarks } = told([3 * POUND], undefined);
    expect(remarks).toHaveLength(1);
    expect(remarks[0]).toContain('spring-01 gave 3 lb fresh from 2 lb of dry mix');
    expect(remarks[0]).toContain('150 %');
    expect(remarks[0]).toContain('note PLAN --withdraw id-1');
  });

  it('is remarked from twice the most that is published on: 40 % of 2 lb, 12.8 oz', () => {
    expect(told([12.7 * OUNCE], undefined).remarks).toEqual([]);
    expect(told([12.9 * OUNCE], undefined).remarks).toHaveLength(1);
  });

  it('before the first light is remarked: 28 dark days from 16 February on', () => {
    expect(told([3 * OUNCE], undefined, [], '2026-03-15').remarks[0]).toMatch(
      /^spring-01 was cut 27 days after sealing, before the light with which growth begins\. If that is right/,
    );
    expect(told([3 * OUNCE], undefined, [], '2026-03-16').remarks).toEqual([]);
  });

  it('of several bags is told once', () => {
    const { remarks } = told([2 * POUND, 3 * OUNCE, 3 * POUND, 3 * POUND], undefined);
    expect(remarks).toHaveLength(1);
    expect(remarks[0]).toContain('spring-01 gave 2 lb');
    expect(remarks[0]).toContain('2 more bags are like this');
  });

  it('that dried to an odd share is remarked, at once or later', () => {
    expect(told([3 * OUNCE], [1 * OUNCE]).remarks).toEqual([]);
    expect(told([3 * OUNCE], [0.25 * OUNCE]).remarks[0]).toContain('which is 8 %');
    const wet = told([3 * OUNCE], [2 * OUNCE]).remarks;
    expect(wet[0]).toContain('dried from 3 oz to 2 oz, which is 67 %');
    expect(wet[0]).toContain('not be dry yet');
    const { entries } = told([3 * OUNCE], undefined);
    expect(told(undefined, [2 * OUNCE], entries).remarks).toEqual(wet);
    expect(told(undefined, [1 * OUNCE], entries).remarks).toEqual([]);
  });

  it('of more dry than fresh is refused', () => {
    expect(() => told([3 * OUNCE], [4 * OUNCE])).toThrow('cannot weigh 4 oz dry and 3 oz fresh');
  });
});

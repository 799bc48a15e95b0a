/** Masses of several bags as a grower writes them on one line. */

import { describe, expect, it } from 'vitest';
import { massesFrom } from '../../../src/jobs/book/measured.ts';
import { quantityOption } from '../../../src/jobs/dates.ts';

const HOW = { example: '--fresh "85 g"', count: () => 'One a bag.' };
const masses = (bags: number, ...words: readonly string[]): number[] | undefined =>
  massesFrom(words, bags, false, 'us', HOW);
/** NIST SP 811, appendix B.8: grams of an ounce (avoirdupois). */
const OUNCE = 28.349523125;
const three = [9, 11.3, 8].map((ounces) => Math.round(ounces * OUNCE * 1000) / 1000);

describe('masses of several bags', () => {
  it.each<[string, readonly string[]]>([
    ['with commas', ['9 oz, 11.3 oz, 8 oz']],
    ['as words of their own', ['9 oz', '11.3 oz', '8 oz']],
    ['as words of their own with commas', ['9 oz,', '11.3 oz,', '8 oz']],
    ['without quotes', ['9', 'oz', '11.3', 'oz', '8', 'oz']],
    ['one after the other', ['9 oz 11.3 oz 8 oz']],
    ['without blanks', ['9oz', '11.3oz', '8oz']],
  ])('are understood %s', (_, words) => {
    expect(masses(3, ...words)).toEqual(three);
  });

  it('of which one is in two units', () => {
    expect(masses(1, '1 lb 2 oz')).toEqual([Math.round(18 * OUNCE * 1000) / 1000]);
    expect(masses(1, '1', 'lb', '2', 'oz')).toEqual(masses(1, '1 lb 2 oz'));
    expect(masses(2, '1 lb', '2 oz')).toEqual(
      [16, 2].map((ounces) => Math.round(ounces * OUNCE * 1000) / 1000),
    );
    expect(() => masses(2, '1', 'lb', '2', 'oz')).toThrow('2 bags and 1 mass');
  });

  it('are told of a decimal comma, not of a unit that is there', () => {
    expect(() => masses(1, '2,5 oz')).toThrow('decimals with a point');
    expect(() => masses(1, '2,5', 'oz')).toThrow('decimals with a point');
    expect(() => quantityOption('2,5 cm', 'length', '--height "12 cm"', 'metric')).toThrow(
      'decimals with a point',
    );
  });

  it('are not told to need a unit where they have one', () => {
    expect(() => quantityOption('9 oz 8 oz', 'mass', '--mass "85 g"', 'us')).toThrow(
      "'9 oz 8 oz' cannot be read as one quantity; units are oz and lb.",
    );
    expect(() => masses(2, '9 oz', '-8', 'oz')).toThrow("'9 oz -8 oz' cannot be read as one quantity");
    expect(() => quantityOption('12', 'length', '--height "12 cm"', 'metric')).toThrow("'12' needs a unit (");
  });

  it('are counted as they were meant where they are too few or too many', () => {
    expect(() => masses(3, '9 oz', '11.3 oz')).toThrow('3 bags and 2 masses');
    expect(() => masses(1, '9 oz 8 oz')).toThrow('1 bag and 2 masses');
    expect(() => massesFrom(['9 oz', '8 oz'], 2, true, 'us', HOW)).toThrow('2 bags and 2 masses');
    expect(() => masses(2, '9 oz', '11')).toThrow("'9 oz 11' needs a unit");
    expect(() => masses(2, '9 oz, 11')).toThrow("'11' needs a unit");
  });
});

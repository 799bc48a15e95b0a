/** Words in lists: short, and with every word in them as long as that can be read. */

import { describe, expect, it } from 'vitest';
import { shortList, stretches } from '../../../src/words/lists.ts';

describe('stretches', () => {
  it.each([
    [
      ['s1', 's2', 's3', 's5'],
      ['s1 to s3', 's5'],
    ],
    [['A', 'B', 'C', 'D'], ['A to D']],
    [
      ['S1a', 'S1b', 'S1c', 'S2a', 'S2b', 'S2c'],
      ['S1a to S1c', 'S2a to S2c'],
    ],
    // Two are no shorter as a stretch.
    [
      ['s1', 's2'],
      ['s1', 's2'],
    ],
    // Neither order, nor zeros before a number, nor another beginning is passed over.
    [
      ['s2', 's1', 's3'],
      ['s2', 's1', 's3'],
    ],
    [
      ['s08', 's9', 's10'],
      ['s08', 's9', 's10'],
    ],
    [
      ['s9', 's10', 't11'],
      ['s9', 's10', 't11'],
    ],
    [
      ['left', 'lefu', 'Z', '['],
      ['left', 'lefu', 'Z', '['],
    ],
  ])('of %j are %j', (words, expected) => {
    expect(stretches(words)).toEqual(expected);
  });
});

describe('a short list', () => {
  it('of few words has each', () => {
    expect(shortList(['s1', 's2', 's3'])).toBe('s1, s2 and s3');
  });

  it('of many that follow one another says from where to where', () => {
    expect(shortList(Array.from({ length: 40 }, (_, n) => `s${n}`))).toBe('s0 to s39');
  });

  it('of many without an order says how many more there are', () => {
    expect(shortList(Array.from({ length: 40 }, (_, n) => `s${3 * n}`))).toBe('s0, s3, s6 and 37 more');
  });
});

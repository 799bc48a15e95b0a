/** Bags that are written in one line, also those of a batch or in a zone whose name has a blank. */

import { describe, expect, it } from 'vitest';
import { bagLives } from '../../../src/answers/bags/lives.ts';
import { writtenBags } from '../../../src/jobs/book/written-bags.ts';
import { day, planOf, sampleText } from '../answers/visits/plan.ts';

const plan = planOf(
  sampleText('pantry')
    .replace('  A: {', '  Tall left: {')
    .replace('zones: [A, C]', 'zones: [Tall left, C]')
    .replace('  early:', '  late fall:'),
);
const book = { plan, lives: bagLives(plan, []), day: day('2026-04-02') };

describe('bags in one line', () => {
  it.each([
    ['late fall-01', ['late fall-01']],
    ['late fall-01, late-02', ['late fall-01', 'late-02']],
    ['late-01 late-02', ['late-01', 'late-02']],
    ['late fall-01 late fall-02 late-01', ['late fall-01', 'late fall-02', 'late-01']],
    ['Tall left-1,B-1', ['Tall left-1', 'B-1']],
    ['  late-01 ,, ', ['late-01']],
    ['late fall', ['late fall']],
    ['no such-99', ['no such-99']],
    ['late-01 late-99', ['late-01', 'late-99']],
  ])('%j are %j', (text, names) => expect(writtenBags(book, text)).toEqual(names));

  it('are asked for where none is written', () => {
    expect(() => writtenBags(book, ' , ')).toThrow('No bag is named.');
  });
});

/** A plan against what it was, in the plan's own terms. */

import { expect, it } from 'vitest';
import { planDifferences } from '../../../../src/answers/changes/since.ts';
import { planOf, sampleText } from '../visits/plan.ts';

const TEXT = sampleText('pantry');
const differences = (from: string | RegExp, to: string): string[] =>
  planDifferences(planOf(TEXT), planOf(TEXT.replace(from, to)));

it('tells of a side that is held as long as a shorter stage lasts no other side', () => {
  const held = TEXT.replaceAll('lean: upright', 'lean: { hold: left }');
  const ended = held.replace('zones: [A, C], bag', 'zones: [A, C], ended: 2026-05-25, bag');
  expect(planDifferences(planOf(held), planOf(ended))).toEqual(['ripen lasts 7 d (early)']);
  const right = held.replace('hold: left', 'hold: right');
  expect(planDifferences(planOf(held), planOf(right))).toEqual(['wake holds another side']);
});

it('says what was changed, once, and nothing of words', () => {
  expect(differences('title: Quayside', 'title: The Quayside')).toEqual([]);
  expect(differences('every: 7 d }\n      lift', 'every: 5 d }\n      lift')).toEqual([
    'climb sways every 5 d',
  ]);
  expect(differences('start: 09:00', 'start: 10:30')).toEqual(['wake is lit 8 h a day from 10:30']);
  expect(differences('lift: { every: 4 d, at: 18:00 }', 'lift: { every: 2 d, at: 19:00 }')).toEqual([
    'ripen: lift every 2 d at 19:00',
  ]);
  const third = TEXT.replace(
    '\n\nvisits:',
    '\n  third: { sealed: 2026-07-20, zones: [A], bag: tall, regime: antler }\n\nvisits:',
  );
  expect(planDifferences(planOf(third), planOf(TEXT))).toEqual(['batch third is out of the plan']);
  expect(planDifferences(planOf(TEXT), planOf(third))).toEqual(['batch third is new']);
  expect(differences('zones: [A, C], bag', 'zones: [A, C], ended: 2026-04-20, bag')).toContain(
    'climb lasts 21 d (early)',
  );
  expect(differences('look: { every: 7 d', 'look: { every: 5 d')).toEqual(['the rules for visits changed']);
  expect(differences('flux: 480 lm', 'flux: 450 lm')).toEqual(['A-left changed']);
  expect(differences('keep: [21 C', 'keep: [20 C')).toEqual(['the room has another band']);
  expect(differences('days: 49\n', 'days: 49\n      keep: [20 C, 24 C]\n')).toEqual([
    'climb is to be kept at another temperature',
  ]);
});

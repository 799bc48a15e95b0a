/** Bags that are moved: into what is free while they stand there, and two that change places where nothing is. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { type BagLife, bagLives, placeOn } from '../../../../src/answers/bags/lives.ts';
import type { Writing } from '../../../../src/answers/book/entries.ts';
import { moveEntries, swapEntries } from '../../../../src/answers/book/move-entries.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** The pantry: early in A and C, late in B and D, two bags each, so that every zone is full. */
const text = sampleText('pantry');
const plan = planOf(text);
let ids = 0;
const writing = (on: CivilDay, of = plan): Writing => {
  const newId = (): string => {
    ids += 1;
    return `id-${ids}`;
  };
  return { plan: of, name: 'pantry', day: on, nowMs: ids, newId };
};
const named = (lives: readonly BagLife[], name: string): BagLife =>
  itemAt(
    lives.filter((one) => one.name === name),
    0,
  );
const places = (notes: readonly Note[], on: string, of = plan): Record<string, string | undefined> =>
  Object.fromEntries(bagLives(of, notes).map((life) => [life.name, placeOn(life, day(on))?.place]));

const swapWith = (bag = 'another'): string => `swap with ${bag}`;

describe('two bags', () => {
  it('change places where both zones are full', () => {
    const lives = bagLives(plan, []);
    const april = writing(day('2026-04-01'));
    expect(() =>
      moveEntries(april, lives, [named(lives, 'early-01')], { zone: 2, position: undefined }, swapWith),
    ).toThrow('Zone C has 2 places and no free place.');
    const { entries, remarks } = swapEntries(april, named(lives, 'early-01'), named(lives, 'early-04'));
    expect(remarks).toEqual([]);
    expect(entries.map(({ bag, zone, position, to }) => ({ bag, zone, position, to }))).toEqual([
      { bag: 'early-01', zone: 'A', position: 1, to: { zone: 'C', position: 2 } },
      { bag: 'early-04', zone: 'C', position: 2, to: { zone: 'A', position: 1 } },
    ]);
    expect(places(entries, '2026-03-31')).toMatchObject({ 'early-01': 'A-1', 'early-04': 'C-2' });
    expect(places(entries, '2026-04-01')).toMatchObject({ 'early-01': 'C-2', 'early-04': 'A-1' });
  });

  it('of different light do not', () => {
    const lives = bagLives(plan, []);
    const april = writing(day('2026-04-01'));
    expect(() => swapEntries(april, named(lives, 'early-01'), named(lives, 'late-01'))).toThrow(
      'Zone B is lit for late',
    );
    // Dark is dark: in March both are in the dark, and it is said until when.
    const { remarks } = swapEntries(
      writing(day('2026-03-10')),
      named(lives, 'early-01'),
      named(lives, 'late-01'),
    );
    expect(remarks.join()).toContain('their light begins to differ: move them on by then');
  });

  it('however often, leave one bag in each place and none beside it', () => {
    const names = bagLives(plan, []).flatMap(({ name }) => (name.startsWith('early') ? [name] : []));
    const two = fc
      .subarray(names, { minLength: 2, maxLength: 2 })
      .chain(([a = '', b = '']) => fc.constantFrom([a, b] as const, [b, a] as const));
    fc.assert(
      fc.property(fc.array(fc.tuple(two, fc.nat({ max: 2 })), { maxLength: 12 }), (swaps) => {
        const notes: Note[] = [];
        let on = day('2026-03-20') as number;
        const expected = new Map(
          bagLives(plan, []).map((life) => [life.name, placeOn(life, on)?.place] as const),
        );
        for (const [[one, other], later] of swaps) {
          on += later;
          const lives = bagLives(plan, notes);
          notes.push(...swapEntries(writing(on as CivilDay), named(lives, one), named(lives, other)).entries);
          const [here, there] = [expected.get(one), expected.get(other)];
          expected.set(one, there).set(other, here);
        }
        const stand = bagLives(plan, notes).map((life) => [life.name, placeOn(life, on)?.place] as const);
        expect(stand).toEqual([...expected]);
      }),
    );
  });
});

describe('a place', () => {
  it('that a later batch takes is free until then', () => {
    const later = planOf(
      text.replace(
        'batches:\n',
        'batches:\n  next: { sealed: 2026-07-01, zones: [A], bag: tall, regime: antler }\n',
      ),
    );
    const cull = { kind: 'cull', why: 'mould' } as const;
    const gone: Note = {
      ...{ id: 'gone', plan: 'pantry', batch: 'early', zone: 'A', position: 1, bag: 'early-01', number: 1 },
      ...{ day: day('2026-03-20'), writtenMs: 1, ...cull },
    };
    const lives = bagLives(later, [gone]);
    const to = { zone: 0, position: undefined };
    const april = writing(day('2026-04-01'), later);
    const { entries } = moveEntries(april, lives, [named(lives, 'early-03')], to, swapWith);
    expect(places([gone, ...entries], '2026-06-01', later)).toMatchObject({ 'early-03': 'A-1' });
    expect(places([gone, ...entries], '2026-07-02', later)).toMatchObject({ 'next-01': 'A-1' });
  });
});

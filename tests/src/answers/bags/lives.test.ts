import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { placesNamed } from '../../../../compiler/plan/place-names.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { bagLives, bagsStanding, placeOn, stageOfBag } from '../../../../src/answers/bags/lives.ts';
import { bagNamed, bagWords } from '../../../../src/answers/bags/named.ts';
import { plannedRoster } from '../../../../src/answers/bags/roster.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

const plan = planOf(sampleText('pantry'));

let ids = 0;
/** An entry about a bag of `early` or `late`, such as `early-02`. */
function entry(bag: string, kind: Note['kind'], iso: string, more: Partial<Note> = {}): Note {
  const [batch = '', number = ''] = bag.split('-');
  ids += 1;
  return {
    ...{ id: String(ids), plan: 'pantry', batch, bag, number: Number(number), zone: 'A', kind },
    ...{ day: day(iso), writtenMs: ids, why: kind === 'cull' ? 'mould' : undefined },
    ...more,
  };
}
const lifeOf = (notes: readonly Note[], name: string) => {
  const life = bagLives(plan, notes).find((one) => one.name === name);
  if (!life) throw new Error(name);
  return life;
};

describe('the bags of a plan', () => {
  it('are numbered through the zones of their batch', () => {
    const names = bagLives(plan, []).map((life) => `${life.name} ${life.stays[0]?.place}`);
    expect(names).toEqual([
      'early-01 A-1',
      'early-02 A-2',
      'early-03 C-1',
      'early-04 C-2',
      'late-01 B-1',
      'late-02 B-2',
      'late-03 D-1',
      'late-04 D-2',
    ]);
  });

  it('stand from the day they enter until they are out, harvested or culled', () => {
    // Early: sealed 16 February; stages of 112 days, and the harvest closes on day 112.
    expect(lifeOf([], 'early-02').stays).toMatchObject([
      { from: day('2026-02-16'), until: day('2026-06-08') },
    ]);
    const culled = lifeOf([entry('early-02', 'cull', '2026-04-20')], 'early-02');
    expect(culled.out).toEqual({ kind: 'cull', day: day('2026-04-20'), why: 'mould' });
    expect(placeOn(culled, day('2026-04-19'))?.place).toBe('A-2');
    expect(placeOn(culled, day('2026-04-20'))).toBeUndefined();
    const cut = lifeOf(
      [
        entry('early-02', 'harvest', '2026-05-20', { massG: 85 }),
        entry('early-02', 'harvest', '2026-05-27', { dryG: 29 }),
      ],
      'early-02',
    );
    expect(cut.out).toMatchObject({ kind: 'harvest', day: day('2026-05-20') });
    expect(cut.harvest).toEqual({ day: day('2026-05-20'), freshG: 85, dryG: 29, together: 1 });
  });

  it('take their history and stage along when they are moved', () => {
    const notes = [
      entry('early-02', 'cull', '2026-03-20'),
      entry('early-04', 'move', '2026-04-01', { to: { zone: 'A', position: 2 } }),
    ];
    const moved = lifeOf(notes, 'early-04');
    expect(moved.stays.map(({ place, from, until }) => [place, from, until])).toEqual([
      ['C-2', day('2026-02-16'), day('2026-04-01')],
      ['A-2', day('2026-04-01'), day('2026-06-08')],
    ]);
    expect(stageOfBag(plan, moved, day('2026-04-10'))?.name).toBe('climb');
    const standing = bagsStanding(bagLives(plan, notes), 0, day('2026-04-02')).map(({ name }) => name);
    expect(standing).toEqual(['early-01', 'early-04']);
  });

  it('as a guest of another batch keep the stage of their own', () => {
    // Late is sealed three weeks after early: on 3 April it is in colonise, early in climb.
    const notes = [
      entry('late-01', 'cull', '2026-03-20'),
      entry('early-01', 'move', '2026-04-03', { to: { zone: 'B', position: 1 } }),
    ];
    const guest = lifeOf(notes, 'early-01');
    expect(placeOn(guest, day('2026-04-03'))?.place).toBe('B-1');
    expect(stageOfBag(plan, guest, day('2026-04-03'))?.name).toBe('climb');
  });

  it('were seen to begin a stage: the bag itself goes before its batch', () => {
    const notes = [
      entry('early-01', 'began', '2026-03-25', { stage: 'knobs', bag: '', number: undefined }),
      entry('early-02', 'began', '2026-03-28', { stage: 'knobs' }),
    ];
    expect(lifeOf(notes, 'early-01').began).toEqual([
      { what: 'knobs', day: day('2026-03-25'), ofBag: false },
    ]);
    expect(lifeOf(notes, 'early-02').began).toEqual([{ what: 'knobs', day: day('2026-03-28'), ofBag: true }]);
  });

  it('of entries from before bags had numbers are found by their place', () => {
    const old = { bag: 'C2', zone: 'C', number: undefined };
    expect(lifeOf([entry('early-04', 'cull', '2026-04-20', old)], 'early-04').out?.why).toBe('mould');
  });

  it('keep their numbers when the plan gives their zone more places', () => {
    const roster = plannedRoster(plan, itemAt(plan.batches, 0));
    const sheet = { heading: '', rows: [], height: '', remarks: [] };
    const sealed = { roster, sheet: { wetKg: 2.2, dryKg: 0.9, figures: {}, metric: sheet, us: sheet } };
    const kept = entry('early-00', 'sealed', '2026-02-16', { bag: '', number: undefined, sealed });
    const wider = planOf(sampleText('pantry').replace(/A: (.*)bags: \[1, 2\]/, 'A: $1bags: [2, 2]'));
    const names = (notes: Note[]) =>
      bagLives(wider, notes)
        .filter(({ batch }) => batch === 0)
        .map(({ name, stays }) => `${name} ${stays[0]?.place}`);
    expect(names([kept])).toEqual([
      'early-01 A-1',
      'early-02 A-2',
      'early-03 C-1',
      'early-04 C-2',
      'early-05 A-3',
      'early-06 A-4',
    ]);
    expect(names([])[2]).toBe('early-03 A-3');
  });
});

describe('zones that bags were moved to', () => {
  const text = sampleText('pantry').replace(
    'late:  { sealed: 2026-03-09, zones: [B, D], bag',
    'late:  { sealed: 2026-03-09, zones: [B, D], enters: { D: 2026-04-30 }, bag',
  );
  const moved = planOf(text);

  it('bring no bags of their own, and their stages are those of the batch', () => {
    const late = itemAt(moved.batches, 1);
    expect(late.home).toEqual([1]);
    expect(late.zones.map(({ zone, enters, isMovedTo }) => [zone, enters, isMovedTo])).toEqual([
      [1, day('2026-03-09'), false],
      [3, day('2026-04-30'), true],
    ]);
    // The climb of late began on 20 April, 42 days after its sealing: ten days before the bags came.
    expect(late.zones[1]?.stages[0]).toMatchObject({ name: 'climb', from: day('2026-04-20') });
    expect(bagLives(moved, []).filter(({ batch }) => batch === 1)).toHaveLength(2);
  });
});

describe('a word for a bag', () => {
  const on = day('2026-04-10');
  const lives = bagLives(plan, [
    entry('early-02', 'cull', '2026-03-20'),
    entry('early-04', 'move', '2026-04-01', { to: { zone: 'A', position: 2 } }),
  ]);

  it('is its name, its place, and its place as it was written before', () => {
    for (const word of ['early-04', 'early-4', 'A-2', 'A2']) {
      const named = bagNamed(plan, lives, word, on);
      expect(named.found === 'bag' && bagWords(named.life, on), word).toBe('early-04 (A-2)');
    }
    const before = bagNamed(plan, lives, 'A-2', day('2026-03-01'));
    expect(before.found === 'bag' && before.life.name).toBe('early-02');
    expect(bagNamed(plan, lives, 'Z-9', on).found).toBe('nothing');
    expect(bagNamed(plan, lives, 'early-09', on).found).toBe('nothing');
  });

  it('that may be two places is neither, and both readings are told', () => {
    const names = ['A', 'A1', 'A-1'];
    const zones = names.map((name) => ({ name, places: Array.from({ length: 11 }, () => ({})) }));
    const read = (word: string) =>
      // Only names and counts of places matter here.
      placesNamed({ zones } as unknown as typeof plan, word).map(
        ({ zone, position }) => `${names[zone]} ${position}`,
      );
    expect(read('A11')).toEqual(['A 11', 'A1 1']);
    expect(read('A-11')).toEqual(['A 11']);
    expect(read('A1-1')).toEqual(['A1 1']);
    expect(read('A-1-1')).toEqual(['A-1 1']);
    expect(read('A12')).toEqual(['A1 2']);
  });

  it('as a place with its dash never means two, whatever the zones are called', () => {
    const name = fc.stringMatching(/^[A-C1-2][A-C1-2-]{0,3}$/);
    fc.assert(
      fc.property(fc.uniqueArray(name, { minLength: 1, maxLength: 5 }), fc.nat(29), (names, i) => {
        const zones = names.map((one) => ({
          name: one,
          places: Array.from({ length: 30 }, (_, n) => ({ name: `${one}-${n + 1}` })),
        }));
        for (const [zone, one] of names.entries()) {
          const read = placesNamed({ zones } as unknown as typeof plan, `${one}-${i + 1}`);
          expect(read).toEqual([{ zone, position: i + 1 }]);
        }
      }),
      { numRuns: 200, seed: 5 },
    );
  });
});

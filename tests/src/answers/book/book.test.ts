import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { bagBegan } from '../../../../src/answers/book/began-entries.ts';
import { endings, withoutBags } from '../../../../src/answers/book/culls.ts';
import { cullEntry } from '../../../../src/answers/book/entries.ts';
import { fitBendingRate, type MeasuredLean } from '../../../../src/answers/book/fit.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { noteLines } from '../../../../src/answers/book/words.ts';
import { readCorrections, writeCorrection } from '../../../../src/archive/corrections.ts';
import { readNotes, withdrawNote, writeNote } from '../../../../src/archive/notes.ts';
import { openArchive, withArchive } from '../../../../src/archive/open.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-book-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const plan = planOf(sampleText('pantry'));

const note = (id: string, more: Partial<Note> = {}): Note => ({
  ...{ id, plan: 'pantry', batch: 'early', zone: 'A', bag: 'A2', day: day('2026-04-20'), writtenMs: 5 },
  ...{ kind: 'note', why: undefined },
  ...more,
});
const cull = (bag: string): Note => note(bag, { kind: 'cull', bag, zone: bag.slice(0, 1), why: 'mould' });

describe('the grow book', () => {
  it('keeps what was found, and what was taken back no longer counts', async () => {
    const archive = await openArchive(join(folder, 'a.sqlite'), 0);
    const full = note('11aa', {
      heightMm: 120.5,
      leanDeg: 22,
      photo: 'a2.jpg',
      massG: 81,
      leanSideDeg: 270,
      number: 2,
      position: 2,
      text: 'Ästig; 2 tips',
    });
    await writeNote(archive, full);
    await writeNote(archive, note('22bb', { kind: 'cull', why: 'mould', day: day('2026-04-19') }));
    await writeNote(archive, note('33cc', { plan: 'other' }));
    const read = await readNotes(archive, 'pantry');
    expect(read.map((one) => one.id)).toEqual(['22bb', '11aa']);
    expect(read[1]).toMatchObject(full);
    expect((await withdrawNote(archive, 'pantry', '22', 'w1', 9)).id).toBe('22bb');
    expect((await readNotes(archive, 'pantry')).map((one) => one.id)).toEqual(['11aa']);
    await expect(withdrawNote(archive, 'pantry', '22', 'w2', 9)).rejects.toThrow('No note begins with 22');
    await archive.close();
  });

  it('keeps notes on the whole rack, and the day that the plan had for a stage before', async () => {
    const archive = await openArchive(join(folder, 'c.sqlite'), 0);
    const none = { zone: '', bag: '' };
    const rack = note('44dd', { ...none, batch: '', text: 'fan moved' });
    const began = note('55ee', {
      ...none,
      ...{ kind: 'began', stage: 'climb', before: day('2026-04-10'), day: day('2026-04-21') },
    });
    await writeNote(archive, rack);
    await writeNote(archive, began);
    expect(await readNotes(archive, 'pantry')).toMatchObject([rack, began]);
    await archive.close();
    expect(noteLines([rack], 'metric')).toEqual(['2026-04-20  the whole rack  fan moved  [44dd]']);
    expect(bagLives(plan, [rack]).flatMap(({ notes }) => notes)).toEqual([]);
  });

  it('keeps corrections of visits', () =>
    withArchive(join(folder, 'b.sqlite'), 0, async (archive) => {
      const common = {
        plan: 'pantry',
        zone: 'C',
        kind: 'lift',
        dueDay: day('2026-04-02'),
        doneDay: day('2026-04-03'),
        why: undefined,
      } as const;
      await writeCorrection(archive, { ...common, id: '2', outcome: 'undone', writtenMs: 2 });
      await writeCorrection(archive, { ...common, id: '1', outcome: 'done', writtenMs: 1 });
      await writeCorrection(archive, { ...common, id: '3', zone: 'gone', outcome: 'done', writtenMs: 3 });
      expect((await readCorrections(archive, 'pantry', plan)).map((one) => one.outcome)).toEqual([
        'done',
        'undone',
      ]);
    }));
});

describe('a cull', () => {
  it('takes the bag out of the light figures from its day on', () => {
    const notes = [cull('A2')];
    const lives = bagLives(plan, notes);
    const after = withoutBags(plan, lives, day('2026-04-21'));
    expect(itemAt(after.zones, 0).places.map((place) => place.name)).toEqual(['A-1']);
    expect(itemAt(withoutBags(plan, lives, day('2026-04-19')).zones, 0).places).toHaveLength(2);
  });

  it('keeps the day on which the plan ends its zone, which an end that is written then replaces', () => {
    const text = sampleText('pantry').replace('zones: [A, C],', 'zones: [A, C], ended: { A: 2026-06-10 },');
    const ended = planOf(text);
    const writing = {
      ...{ plan: ended, name: 'pantry', day: day('2026-05-20'), nowMs: 1 },
      newId: () => 'id',
    };
    const lives = bagLives(ended, []);
    const before = ['A-1', 'C-1'].map((place) => {
      const life = sure(lives.find(({ batch, stays }) => batch === 0 && stays[0]?.place === place));
      return cullEntry(writing, life, 'mould', undefined).before;
    });
    expect(before).toEqual([day('2026-06-10'), undefined]);
  });

  it('leaves room for what was seen before it and is written down later', () => {
    const [gone] = bagLives(plan, [cull('A1')]).filter(({ out }) => out !== undefined);
    const on = (iso: string): Note => {
      const writing = { ...{ plan, name: 'pantry', day: day(iso), nowMs: 1 }, newId: () => 'id' };
      return bagBegan(writing, sure(gone), 'knobs');
    };
    expect(on('2026-04-18')).toMatchObject({ bag: 'early-01', stage: 'knobs' });
    expect(() => on('2026-04-21')).toThrow('early-01 was culled on 2026-04-20 (mould)');
  });

  it('of the last bag suggests to end the zone, or the batch', () => {
    const [one, two, three, four] = ['A1', 'A2', 'C1', 'C2'].map(cull) as [Note, Note, Note, Note];
    const found = (notes: Note[]) => endings(plan, bagLives(plan, notes), day('2026-04-20'));
    expect(found([one])).toEqual([]);
    const ending = { batch: 'early', day: day('2026-04-20') };
    expect(found([one, two])).toEqual([{ ...ending, zone: 'A', isWhole: false }]);
    expect(found([one, two, three, four])).toEqual([
      { ...ending, zone: 'A', isWhole: true },
      { ...ending, zone: 'C', isWhole: true },
    ]);
  });
});

describe('the bending rate', () => {
  /** A model whose angle grows with the rate and levels off, as lean does. */
  const model = (days: number) => (factor: number) => 54 * (1 - Math.exp((-factor * 7 * days) / 54));
  const measured = (factor: number, errors: readonly number[]): MeasuredLean[] =>
    errors.map((error, i) => {
      const predict = model(i + 1);
      return { predict, angleDeg: predict(factor) + error };
    });

  it('is found again from angles without error', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.3, max: 3, noNaN: true }), (factor) => {
        const fit = fitBendingRate(measured(factor, [0, 0, 0, 0, 0, 0]));
        expect(fit.ok && Math.abs(fit.factor / factor - 1)).toBeLessThan(0.01);
      }),
      { numRuns: 50, seed: 7 },
    );
  });

  it('lies within its 95 % interval about 95 times in 100', () => {
    let inside = 0;
    let seed = 1;
    const normal = (): number => {
      let sum = -6;
      for (let i = 0; i < 12; i++) {
        seed = (seed * 48271) % 2147483647;
        sum += seed / 2147483647;
      }
      return sum;
    };
    for (let round = 0; round < 400; round++) {
      const errors = Array.from({ length: 6 }, () => 4 * normal());
      const fit = fitBendingRate(measured(1.4, errors));
      if (fit.ok && fit.low <= 1.4 && 1.4 <= fit.high) inside += 1;
    }
    expect(inside / 400).toBeGreaterThan(0.91);
    expect(inside / 400).toBeLessThan(0.995);
  });

  it('is not claimed from too few angles, or from angles that tell nothing', () => {
    expect(fitBendingRate(measured(1, [0, 0, 0]))).toEqual({ ok: false, count: 3, why: 'too few' });
    const flat = Array.from({ length: 6 }, () => ({ angleDeg: 10, predict: () => 10 }));
    expect(fitBendingRate(flat)).toEqual({ ok: false, count: 6, why: 'tell nothing' });
  });
});

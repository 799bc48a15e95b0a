/** Heights of growth against the room in the bag, against hand calculation. */

import { describe, expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { noteEntry } from '../../../../src/answers/book/entries.ts';
import { heightTold } from '../../../../src/answers/book/height-told.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** Blocks of 2 kg at 1 kg/L on 100 mm × 200 mm are 100 mm high: of 380 mm 280 mm are free. */
const text = sampleText('smallest').replace(
  /tall: .*/,
  'tall: { footprint: [100 mm, 200 mm], height: 380 mm, fill: 2 kg, density: 1 kg/L }',
);
const plan = planOf(text);
const writing = { ...{ plan, name: 'p', day: day('2026-05-30'), nowMs: 0 }, newId: () => 'id-1' };

function told(heightMm: number, before: readonly Note[] = []): string[] {
  const lives = bagLives(plan, before);
  return heightTold(plan, lives, noteEntry(writing, sure(lives[0]), { heightMm }));
}

describe('a height', () => {
  it('that the bag has room for needs no word, nor does a little more, for film gives', () => {
    for (const mm of [0, 120, 280, 305]) expect(told(mm)).toEqual([]);
  });

  it('beyond what is free above the block is remarked, with the way on', () => {
    const [remark, ...more] = told(320);
    expect(more).toEqual([]);
    expect(remark).toContain(
      'growth 320 mm high is more than bag tall has free above its block, about 280 mm',
    );
    expect(remark).toContain('note PLAN --withdraw id-1');
  });

  it('beyond the whole bag is refused', () => {
    expect(() => told(400)).toThrow('spring-01 cannot have growth 400 mm high: bag tall is 380 mm high');
  });

  it('below an earlier one, or beside another of its day, is remarked', () => {
    const noted = (iso: string, heightMm: number): Note => ({
      ...{ id: iso, plan: 'p', batch: 'spring', zone: 'A', bag: 'spring-01', number: 1, position: 1 },
      ...{ day: day(iso), writtenMs: 0, kind: 'note', why: undefined, heightMm },
    });
    const before = [noted('2026-05-20', 100)];
    expect(told(95, before)).toEqual([]);
    expect(told(12, before)[0]).toMatch(
      /^spring-01: the book has 100 mm on 2026-05-20, and now 12 mm\. Growth does not get lower\. If that is right/,
    );
    expect(told(100, [noted('2026-06-02', 50)])[0]).toContain('50 mm on 2026-06-02');
    expect(told(76, [noted('2026-05-30', 9)])[0]).toContain(
      'has 9 mm on the same day, and now 76 mm. Both count.',
    );
  });

  it('of growth that was cut may be any', () => {
    const cut: Note = {
      ...{ id: 'cut', plan: 'p', batch: 'spring', zone: 'A', bag: 'spring-01', number: 1, position: 1 },
      ...{ day: day('2026-05-20'), writtenMs: 0, kind: 'harvest', why: undefined, massG: 85 },
    };
    expect(told(400, [cut])).toEqual([]);
  });
});

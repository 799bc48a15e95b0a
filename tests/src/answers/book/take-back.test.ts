/** Entries of the grow book taken back: what goes with them, and where two bags would then stand in one place. */

import { describe, expect, it } from 'vitest';
import { isoDate } from '../../../../shared/civil.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { goneWith, planPartsOf, refuseSharedPlace } from '../../../../src/answers/book/take-back.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** Early has left A: one bag was culled, the other cut on 20 May, and that was written into the plan. */
const plan = planOf(
  sampleText('pantry').replace(
    'zones: [A, C], bag: tall, regime: antler',
    'zones: [A, C], bag: tall, regime: antler, ended: { A: 2026-05-20 }',
  ),
);
let ids = 0;
function entry(number: number, kind: Note['kind'], iso: string, more: Partial<Note> = {}): Note {
  ids += 1;
  return {
    ...{ id: `id-${ids}`, plan: 'pantry', batch: 'early', bag: `early-0${number}`, number },
    ...{ zone: 'A', position: number, kind, why: undefined, day: day(iso), writtenMs: ids },
    ...more,
  };
}

describe('with an entry', () => {
  it('goes the end of its zone, whichever bag it was', () => {
    const cull = entry(1, 'cull', '2026-04-20', { why: 'mould' });
    const cut = entry(2, 'harvest', '2026-05-20', { massG: 85 });
    const dry = entry(2, 'harvest', '2026-05-27', { dryG: 30 });
    for (const gone of [cull, cut]) {
      expect(planPartsOf(plan, [cull, cut, dry], gone).map(({ words }) => words)).toEqual([
        'ended: { A: 2026-05-20 }',
      ]);
    }
    expect(planPartsOf(plan, [cull, cut, dry], dry)).toEqual([]);
    expect(planPartsOf(plan, [cull, cut, dry], entry(3, 'note', '2026-05-01'))).toEqual([]);
  });

  it('goes the other of two bags that changed places', () => {
    const pair = { writtenMs: 7, zone: 'A', position: 1, to: { zone: 'C', position: 2 } };
    const one = entry(1, 'move', '2026-04-01', pair);
    const other = entry(4, 'move', '2026-04-01', {
      ...{ writtenMs: 7, zone: 'C', position: 2, to: { zone: 'A', position: 1 } },
    });
    expect(goneWith([one, other], one)).toEqual([one, other]);
    expect(goneWith([one, other], other)).toEqual([other, one]);
    expect(goneWith([one, entry(2, 'move', '2026-04-01', { to: { zone: 'C', position: 1 } })], one)).toEqual([
      one,
    ]);
    expect(() => refuseSharedPlace(plan, [one, other], [one])).toThrow(
      'early-01 and early-04 would both stand in A-1 from 2026-04-01 on',
    );
    expect(() => refuseSharedPlace(plan, [one, other], [one, other])).not.toThrow();
  });

  it('goes no place that somebody else stands in since', () => {
    const cull = entry(1, 'cull', '2026-04-20', { why: 'mould' });
    const next = entry(3, 'move', '2026-04-25', { zone: 'C', position: 1, to: { zone: 'A', position: 1 } });
    expect(() => refuseSharedPlace(plan, [cull, next], [cull])).toThrow(
      'early-01 and early-03 would both stand in A-1 from 2026-04-25 on',
    );
    expect(() => refuseSharedPlace(plan, [cull, next], [next])).not.toThrow();
  });

  it('comes back the day that the stage had before, but none that was itself taken back since', () => {
    // Written in this order; `before` is what the plan had then: nothing, 20 March, 25 March.
    const of = { bag: '', number: undefined, zone: '' };
    const first = entry(0, 'began', '2026-03-20', { ...of, stage: 'climb' });
    const second = entry(0, 'began', '2026-03-25', { ...of, stage: 'knobs', before: first.day });
    const third = entry(0, 'began', '2026-03-28', { ...of, stage: 'climb', before: second.day });
    const left = (gone: Note, ...earlier: readonly (readonly [Note, number])[]): string => {
      const text = `batches:\n  early: { zones: [A], began: { climb: ${isoDate(gone.day)} } }\n`;
      const takenBack = earlier.map(([note, takenBackMs]) => ({ note, takenBackMs }));
      const [part] = planPartsOf(plan, [gone], gone, takenBack);
      const out = part?.takeOut(text);
      return typeof out === 'object' ? (/began: { climb: (\S+)/.exec(out.text)?.[1] ?? 'none') : String(out);
    };
    const later = third.writtenMs + 1;
    expect(left(second)).toBe('2026-03-20');
    expect(left(second, [first, later])).toBe('none');
    expect(left(third, [second, later])).toBe('2026-03-20');
    expect(left(third, [first, later], [second, later])).toBe('none');
    expect(left(third, [{ ...second, stage: 'ripen' }, later])).toBe('2026-03-25');
    const same = { ...second, id: 'same', stage: 'climb' };
    expect(
      planPartsOf(plan, [third, same], third, [{ note: second, takenBackMs: later }])[0]?.takeOut(
        'batches:\n  early: { began: { climb: 2026-03-28 } }\n',
      ),
    ).toMatchObject({ text: expect.stringContaining('2026-03-25') });
    // Taken back before the second was written, and the day written by hand again.
    expect(left(second, [first, second.writtenMs - 0.5])).toBe('2026-03-20');
  });

  it('comes back the end that its zone had, whichever bag it was, but none that went with an entry since', () => {
    const left = (gone: Note, notes: readonly Note[], takenBack: readonly Note[] = []): unknown => {
      const earlier = takenBack.map((note) => ({ note, takenBackMs: ids + 1 }));
      const text = 'batches:\n  early: { zones: [A, C], ended: { A: 2026-05-20 } }\n';
      const [part] = planPartsOf(plan, notes, gone, earlier);
      const out = part?.takeOut(text);
      return typeof out === 'object' ? (/ended: { A: (\S+)/.exec(out.text)?.[1] ?? 'none') : out;
    };
    const meant = { before: day('2026-06-10') };
    const cull = entry(1, 'cull', '2026-04-20', { why: 'mould' });
    const cut = entry(2, 'harvest', '2026-05-20', { massG: 85, ...meant });
    for (const gone of [cull, cut]) expect(left(gone, [cull, cut])).toBe('2026-06-10');
    // The plan had the day itself before any bag was cut.
    const asMeant = entry(2, 'harvest', '2026-05-20', { massG: 85, before: day('2026-05-20') });
    expect(left(asMeant, [cull, asMeant])).toBe('nothing');
    // The end that the second found there came with the first.
    const first = entry(1, 'harvest', '2026-05-10', { massG: 85, ...meant });
    const second = entry(2, 'harvest', '2026-05-20', { massG: 85, before: first.day });
    expect(left(second, [first, second])).toBe('2026-05-10');
    expect(left(first, [first, second])).toBe('2026-06-10');
    expect(left(second, [second], [first])).toBe('2026-06-10');
  });
});

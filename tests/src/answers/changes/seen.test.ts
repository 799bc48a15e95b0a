/** Which days of lost light follow from what was seen of a batch; days counted on a calendar of 2026. */

import { describe, expect, it } from 'vitest';
import { isoDate } from '../../../../shared/civil.ts';
import { civilDay } from '../../../../shared/units.ts';
import { notSeen } from '../../../../src/answers/changes/seen.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

const TEXT = sampleText('pantry');
const early = (more: string, text = TEXT): string =>
  text.replace('zones: [A, C], bag', `zones: [A, C], ${more}, bag`);

/** The days from one on up to the day before another. */
const span = (from: string, until: string): number[] =>
  Array.from({ length: day(until) - day(from) }, (_, i) => day(from) + i);

/** The first and the last of the lost days of zone A that are still to be asked about; undefined: none. */
function asked(text: string, from: string, until: string, place = 'zone A'): string[] | undefined {
  const [left] = notSeen(planOf(text), { place, days: span(from, until) });
  return left && [left.days[0], left.days.at(-1)].map((one) => isoDate(civilDay(one ?? 0)));
}

describe('a day of light that is lost', () => {
  it('follows from a stage that began early: what comes after ends as much earlier', () => {
    // Climb five days before 30 March: the light of A ends on 2 June and not on the 7th.
    const began = early('began: { climb: 2026-03-25 }');
    expect(asked(began, '2026-06-03', '2026-06-08')).toBeUndefined();
    // Asked on 5 June, two of them are past.
    expect(asked(began, '2026-06-05', '2026-06-08')).toBeUndefined();
  });

  it('does not where it is not just those days: then something else was changed too', () => {
    const began = early('began: { climb: 2026-03-25 }');
    expect(asked(began, '2026-06-03', '2026-06-10')).toEqual(['2026-06-03', '2026-06-09']);
    // Three days of ripening less, when the board had the earlier beginning already.
    expect(asked(began.replace('days: 21', 'days: 18'), '2026-05-31', '2026-06-03')).toEqual([
      '2026-05-31',
      '2026-06-02',
    ]);
  });

  it('does not where the stage began late or on its day, nor of another zone or batch', () => {
    expect(asked(early('began: { climb: 2026-03-30 }'), '2026-06-08', '2026-06-10')).toHaveLength(2);
    expect(asked(early('began: { climb: 2026-04-04 }'), '2026-06-13', '2026-06-15')).toHaveLength(2);
    const began = early('began: { climb: 2026-03-25 }');
    // B stands until 28 June, by its own batch.
    expect(asked(began, '2026-06-24', '2026-06-29', 'zone B')).toHaveLength(2);
    expect(asked(began, '2026-06-03', '2026-06-08', 'output 8')).toHaveLength(2);
  });

  it('follows from the last beginning alone, after one that was late', () => {
    // Wake three days late, then climb five days before its new day of 2 April: 28 March. The table that knew only of the
    // first had light until 10 June.
    const both = early('began: { wake: 2026-03-19, climb: 2026-03-28 }');
    expect(asked(both, '2026-06-06', '2026-06-11')).toBeUndefined();
    // One that knew of neither had it until 7 June.
    expect(asked(both, '2026-06-06', '2026-06-08')).toBeUndefined();
    expect(asked(both, '2026-06-06', '2026-06-12')).toHaveLength(2);
  });

  it('follows in the dark between two stages with light only where the stage would still be lit', () => {
    const dark = TEXT.replace(
      '    - stage: ripen',
      '    - { stage: rest, days: 8, light: none }\n    - stage: ripen',
    );
    // Rest was due on 18 May and began on the 13th: dark until the 20th, and the light ends on 10 June and not on the 15th.
    const plan = planOf(early('began: { rest: 2026-05-13 }', dark));
    const [resting, due] = [span('2026-05-13', '2026-05-18'), span('2026-05-18', '2026-05-21')];
    const end = span('2026-06-11', '2026-06-16');
    expect(notSeen(plan, { place: 'zone A', days: [...resting, ...end] })).toEqual([]);
    // The days of rest by the plan are no loss that follows from it.
    expect(notSeen(plan, { place: 'zone A', days: [...resting, ...due, ...end] })[0]?.days).toHaveLength(13);
  });

  it('follows for each of two batches that stand in a zone one after the other', () => {
    const third =
      '\n  third: { sealed: 2026-07-20, zones: [A], bag: tall, regime: antler, began: { climb: 2026-08-26 } }\n\nvisits:';
    const plan = planOf(early('began: { climb: 2026-03-25 }').replace('\n\nvisits:', third));
    // 20 July and 112 days are 9 November; five days early, 4 November.
    const [first, second] = [span('2026-06-03', '2026-06-08'), span('2026-11-04', '2026-11-09')];
    expect(notSeen(plan, { place: 'zone A', days: [...first, ...second] })).toEqual([]);
    expect(notSeen(plan, { place: 'zone A', days: [...first, ...second.slice(1, 3)] })[0]?.days).toHaveLength(
      2,
    );
  });
});

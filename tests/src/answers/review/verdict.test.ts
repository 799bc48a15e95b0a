/** What a zone is told of days made by hand. */

import { describe, expect, it } from 'vitest';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../../shared/units.ts';
import { lotRecord } from '../../../../src/answers/lot/record.ts';
import { lotBatch, lotRows } from '../../../../src/answers/review/lot.ts';
import type { Review, ReviewedDay, RoomDay } from '../../../../src/answers/review/review.ts';
import { reviewText } from '../../../../src/answers/review/text.ts';
import { type Verdict, verdicts } from '../../../../src/answers/review/verdict.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** In zone A: climb from 30 March 2026, 12 h a day. */
const FIRST = day('2026-03-30');
const UPRIGHT = sampleText('pantry').replace('lean: { sway: [left, right], every: 7 d }', 'lean: upright');

/** A review of zone A from 30 March on, a number of hours lit each day of the 12 that are planned. */
function reviewOf(lit: readonly number[], rooms: readonly RoomDay[] = []): Review {
  const days = lit.map(
    (delivered, i): ReviewedDay => ({
      ...{ zone: 0, batch: 0, day: civilDay(FIRST + i), stage: 'climb', standing: 'proved' },
      ...{ planned: 12, delivered, unknown: 0, extra: 0, darkPlanned: 12, darkKept: 12, stray: 0, unread: 0 },
      ...{ lost: { off: 12 - delivered, none: 0, run: 0 }, luxPlanned: 0, luxDelivered: 0 },
      sides: { upright: { planned: 12, delivered } },
    }),
  );
  return {
    ...{
      from: FIRST,
      until: civilDay(FIRST + lit.length),
      days,
      incidents: [],
      room: rooms,
      controllers: [],
    },
    ...{ outcomes: new Map(), notes: [] },
  };
}

const verdictOf = (plan: ResolvedPlan, review: Review): Verdict => itemAt(verdicts(plan, review), 0);

describe('a zone that no lamp was to light', () => {
  const dark = reviewOf([0, 0]);
  const days = dark.days.map((one) => ({ ...one, planned: 0, darkPlanned: 24, darkKept: 24, sides: {} }));
  const review = { ...dark, days };
  const lit = UPRIGHT.replace(
    'batches:',
    'background: { window: { from: left, level: 300 lx, hours: [08:00, 18:00] } }\nbatches:',
  );

  it('is not told as dark where the room lights it', () => {
    expect(verdictOf(planOf(UPRIGHT), review).line).toBe('A: dark, as planned');
    expect(verdictOf(planOf(lit), review).line).toBe('A: lit by the room alone, which no log records');
    const text = reviewText(planOf(lit), review, [], {
      offsets: { initialQuarters: 0, changes: [] },
      names: {},
    });
    expect(text).toContain('Light is that of the lamps; background light (window) is in no log.');
  });

  it('had none of lamps planned, by the record of its lot', () => {
    const plan = planOf(lit);
    const rows = lotRows(lotBatch(plan, review, itemAt(plan.batches, 0)), 'metric');
    expect(rows).toContainEqual(['light in A', 'none of lamps planned']);
    expect(rows).toContainEqual(['light in C', 'unknown']);
  });
});

describe('the room', () => {
  const plan = planOf(UPRIGHT.replace('days: 49\n', 'days: 49\n      keep: [22 C, 24 C]\n'));
  const room = (on: CivilDay, min: number, max: number): RoomDay => ({
    ...{ day: on, controller: 'pantry', min, mean: (min + max) / 2, max, outsideMinutes: 0 },
  });
  const review = reviewOf([12, 12], [room(FIRST, 21.5, 23), room(civilDay(FIRST + 1), 22, 24)]);

  it('outside what its stage asks for is told of the zone', () => {
    expect(verdictOf(plan, review).line).toBe(
      'A: all of its light, the room outside the 22.0 to 24.0 °C of climb on 1 day (21.5 to 23.0 °C)',
    );
    expect(verdictOf(planOf(UPRIGHT), review).line).toBe('A: all of its light');
  });

  it('outside what a stage asks for is in the record of the lot', () => {
    const naming = { offsets: { initialQuarters: 0, changes: [] }, names: {} };
    const { parts } = lotRecord(plan, review, itemAt(plan.batches, 0), naming, []);
    expect(parts.find(({ heading }) => heading === 'Room')?.lines).toEqual([
      'A: the room outside the 22.0 to 24.0 °C of climb on 1 day (21.5 to 23.0 °C)',
    ]);
  });
});

describe('a day of which nobody can know', () => {
  const plan = planOf(UPRIGHT);
  const naming = { offsets: { initialQuarters: 0, changes: [] }, names: {} };
  const unknownIn = (change: Partial<ReviewedDay>): string | undefined => {
    const review = reviewOf([12, 12]);
    const [first, second] = review.days;
    const days = [itemAt([first], 0), { ...itemAt([second], 0), standing: 'unknown' as const, ...change }];
    const { parts } = lotRecord(plan, { ...review, days }, itemAt(plan.batches, 0), naming, []);
    const { head, rows } = itemAt(
      parts.filter(({ heading }) => heading === 'Light'),
      0,
    );
    return rows[0]?.[head.indexOf('unknown')];
  };

  it('is never said to be 0 h, dark or not', () => {
    expect(unknownIn({ delivered: 0, unknown: 12, darkKept: 0 })).toBe('12 h and 12 h of dark');
    const dark = {
      planned: 0,
      delivered: 0,
      unknown: 0,
      darkPlanned: 24,
      darkKept: 0,
      lost: { off: 0, none: 0, run: 0 },
    };
    expect(unknownIn(dark)).toBe('24 h of dark');
    expect(unknownIn({ standing: 'proved' })).toBe('0 h');
    // Dark hours that were lit are known.
    expect(unknownIn({ ...dark, extra: 2, stray: 1, darkKept: 21 })).toBe('0 h');
  });
});

it('even light that is lost is not told as one side’s, which burned a second before the other', () => {
  const { days, ...review } = reviewOf([0, 0, 12]);
  const second = 1 / 3600;
  const seen = days.map((one) => ({
    ...one,
    sides: { ...one.sides, left: { planned: second, delivered: one.delivered > 0 ? second : 0 } },
  }));
  expect(verdictOf(planOf(UPRIGHT), { ...review, days: seen }).line).toBe('A: 33.3 % of its light');
});

describe('lost light', () => {
  // Four days of 12 h of which one got nothing: a day of climb more makes it up.
  const lit = [12, 0, 12, 12];
  const todo = (text: string, review = reviewOf(lit)): string => verdictOf(planOf(text), review).todo;
  const ended = (text: string, on: string): string =>
    text.replace('zones: [A, C], bag', `zones: [A, C], ended: ${on}, bag`);

  it('is made up by a longer stage while the bags stand', () => {
    expect(todo(UPRIGHT)).toBe('lengthen climb by 1 day (days: 50) to make up 12 h');
  });

  it('of less than half a day is not, and nobody says that the stage is over', () => {
    expect(todo(UPRIGHT, reviewOf([12, 9, 12]))).toBe(
      'nothing to do: 3 h of light are missing, less than half a day of it',
    );
  });

  it('is not made up where the batch has ended, on the day after the last that is reviewed or later', () => {
    const over = '12 h of light are missing over 4 days; their stage is over, so they cannot be made up';
    expect(todo(ended(UPRIGHT, '2026-04-03'))).toBe(over);
    expect(todo(ended(UPRIGHT, '2026-04-10'))).toBe(over);
    // Another zone of the batch has ended: A goes on.
    const other = UPRIGHT.replace('zones: [A, C], bag', 'zones: [A, C], ended: { C: 2026-04-03 }, bag');
    expect(todo(other)).toContain('lengthen climb');
  });

  it('is not made up by another turn of the sides either, once the batch has ended', () => {
    const review = reviewOf(lit);
    const days = review.days.map((one) => ({
      ...one,
      sides: { left: { planned: 12, delivered: one.delivered } },
    }));
    const swaying = sampleText('pantry');
    expect(todo(swaying, { ...review, days })).toContain('give the left side 1 day more');
    expect(todo(ended(swaying, '2026-04-03'), { ...review, days })).toBe(
      'that stage is over; the lost light cannot be made up',
    );
  });

  it('from both sides is made up on the side that lacks more by what it lacks more, else by a longer stage', () => {
    const swaying = planOf(sampleText('pantry'));
    const sided = (of: readonly (readonly [side: string, delivered: number])[]): Review => {
      const review = reviewOf(of.map(([, delivered]) => delivered));
      const days = review.days.map((one, n) => {
        const [side, delivered] = itemAt(of, n);
        return { ...one, sides: { [side]: { planned: 12, delivered } } };
      });
      return { ...review, days };
    };
    const even = verdictOf(
      swaying,
      sided([
        ['left', 0],
        ['right', 0],
        ['left', 0],
        ['right', 0],
      ]),
    );
    expect(even.line).toBe(
      'A: none of its light, 2 days of light from the left and 2 days of light from the right missing after the outage of 2026-03-30',
    );
    expect(even.todo).toBe('lengthen climb by 4 days (days: 53) to make up 48 h');
    const uneven = verdictOf(
      swaying,
      sided([
        ['left', 0],
        ['right', 0],
        ['left', 0],
        ['left', 0],
      ]),
    );
    expect(uneven.todo).toBe(
      'give the left side 2 days more when its turn comes, or lengthen climb by 3 days (days: 52)',
    );
  });

  it('of an upright stage whose lamps burn in turn is no side’s', () => {
    const { days, ...review } = reviewOf([0, 12]);
    const sided = days.map((one, n) => ({
      ...one,
      sides: { [n === 0 ? 'left' : 'right']: { planned: 12, delivered: one.delivered } },
    }));
    const told = verdictOf(planOf(UPRIGHT), { ...review, days: sided });
    expect(told.line).toBe('A: 50.0 % of its light');
    expect(told.todo).toBe('lengthen climb by 1 day (days: 50) to make up 12 h');
  });

  it('is not made up once the bags have left by the plan', () => {
    const review = reviewOf(lit);
    // Bags stand until 8 June; reviewed until the 7th, and a week after.
    expect(todo(UPRIGHT, { ...review, until: day('2026-06-08') })).toContain('lengthen climb');
    expect(todo(UPRIGHT, { ...review, until: day('2026-06-15') })).toContain('they cannot be made up');
  });
});

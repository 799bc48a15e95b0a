/** What a zone is told of days made by hand. */

import { describe, expect, it } from 'vitest';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../../shared/units.ts';
import { lotRecord } from '../../../../src/answers/lot/record.ts';
import type { Review, ReviewedDay, RoomDay } from '../../../../src/answers/review/review.ts';
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
      ...{ planned: 12, delivered, unknown: 0, extra: 0, darkPlanned: 12, darkKept: 12, unread: 0 },
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
    const { parts } = lotRecord(plan, review, itemAt(plan.batches, 0), naming);
    expect(parts.find(({ heading }) => heading === 'Room')?.lines).toEqual([
      'A: the room outside the 22.0 to 24.0 °C of climb on 1 day (21.5 to 23.0 °C)',
    ]);
  });
});

/** Visits that the table had on other days than the plan has now: told once, by the table's days. */

import { describe, expect, it } from 'vitest';
import { offsetsFor } from '../../../../compiler/plan/utc-offsets.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../../shared/units.ts';
import { dayAt, visitIncidents } from '../../../../src/answers/review/incidents.ts';
import type { Story } from '../../../../src/answers/review/story.ts';
import { type VisitOutcome, visitKey } from '../../../../src/answers/visits/outcomes.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

const plan = planOf(sampleText('smallest'));
const [from, until] = [day('2026-03-28').valueOf() * 86_400, day('2026-04-20').valueOf() * 86_400];
const offsets = offsetsFor(plan.timezone, utcSeconds(from - 86_400), utcSeconds(until + 86_400));
const lifts = visitOccurrences(plan).filter(({ kind }) => kind === 'lift');
const story: Story = {
  ...{ changes: [], outages: [], proofs: [], estimated: [], hands: [], settings: [], lost: [], faults: [] },
  tables: [{ at: from, crc: 1, schedule: undefined }],
  ...{ operations: [], blindBefore: false, from, until },
};

/** What is told of lifts when the log has these outcomes, as `day answer`. */
function told(
  outcomes: readonly (readonly [iso: string, answer: VisitOutcome['answer']])[],
  hasBags = true,
): string[] {
  const known = outcomes.map(([iso, answer]): [string, VisitOutcome] => [
    visitKey(0, 'lift', day(iso)),
    { zone: 0, kind: 'lift', dueDay: day(iso), answer, lateMinutes: 180, corrected: false },
  ]);
  const facts = {
    plan,
    visits: lifts,
    outcomes: new Map(known),
    offsets,
    stories: [story],
    hasBags: () => hasBags,
  };
  return visitIncidents(facts, from, until).map((one) =>
    one.kind === 'visit' ? `${isoOf(dayAt(offsets, one.at))} ${one.answer}` : one.kind,
  );
}

const isoOf = (on: CivilDay): string =>
  new Date(Date.UTC(2000, 0, 1) + on * 86_400_000).toISOString().slice(0, 10);

describe('lifts that the plan has from 2 April on, every 3 days', () => {
  it('are what these tests take them to be', () => {
    expect(lifts.slice(0, 3).map((one) => isoOf(civilDay(one.day)))).toEqual([
      '2026-04-02',
      '2026-04-05',
      '2026-04-08',
    ]);
    expect(itemAt(lifts, 0).zone).toBe(0);
  });

  it('are each not told where the log has none', () => {
    expect(told([])).toEqual(
      ['2026-04-02', '2026-04-05', '2026-04-08', '2026-04-11', '2026-04-14', '2026-04-17'].map(
        (one) => `${one} not told`,
      ),
    );
  });

  it('are told by the days of the table that had them a day later', () => {
    expect(
      told([
        ['2026-04-03', 'missed'],
        ['2026-04-06', 'done'],
        ['2026-04-09', 'late'],
        ['2026-04-11', 'done'],
        ['2026-04-14', 'missed'],
        ['2026-04-17', 'done'],
      ]),
    ).toEqual(['2026-04-14 missed', '2026-04-03 missed', '2026-04-09 late']);
  });

  it('are not told of a zone that had no bag left', () => {
    expect(told([['2026-04-03', 'missed']], false)).not.toContain('2026-04-03 missed');
  });
});

/** Visits of one day: a time that the plan says is kept, the rest joins it; days away hold for harvests too. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import { sure } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

/** The smallest plan with visits of its own. */
function compiled(visits: string): Compiled {
  const result = compilePlan(`${samplePlan('smallest')}\nvisits: ${visits}\n`, {
    boards: BOARDS,
    advise: false,
  });
  expect(result.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  return result;
}

/** Kinds and minutes on the days on which both looks and lifts are due. */
function sharedDays(visits: string): string[] {
  const all = sure(compiled(visits).timeline).visits.filter(({ kind }) => kind !== 'harvest');
  const days = [...new Set(all.map(({ day }) => day))];
  const walks = days.map((day) => all.filter((visit) => visit.day === day));
  return [
    ...new Set(
      walks
        .filter((walk) => walk.length > 1)
        .map((walk) => walk.map(({ kind, at }) => `${kind} ${at}`).join(', ')),
    ),
  ];
}

describe('visits of one day', () => {
  it('keep the times that the plan says', () => {
    expect(sharedDays('{ look: { every: 4 d, at: 09:00 }, lift: { every: 2 d, at: 18:00 } }')).toEqual([
      'look 540, lift 1080',
    ]);
  });

  it('are one walk where the plan says one time, or none', () => {
    expect(sharedDays('{ look: { every: 4 d }, lift: { every: 2 d, at: 09:00 } }')).toEqual([
      'look 540, lift 540',
    ]);
    expect(sharedDays('{ look: { every: 4 d }, lift: { every: 2 d } }')).toEqual(['look 1080, lift 1080']);
  });
});

describe('a harvest around days away', () => {
  const spans = (away: string): string[] => {
    const days = away === '' ? '' : `, away: [${away}]`;
    const { timeline, findings } = compiled(`{ harvest: { from: 100 d, until: 110 d }${days} }`);
    const open = sure(timeline)
      .visits.filter(({ kind }) => kind === 'harvest')
      .map(({ day, days }) => `${isoDate(day)} to ${isoDate(civilDay(day + days - 1))}`);
    const told = findings.flatMap((found) => {
      if (found.code !== 'visit-moved' && found.code !== 'visit-dropped') return [];
      const own = found.facts.visits.filter(({ kind }) => kind === 'harvest');
      return own.map(({ zone, day, to }) => `${found.code}: ${zone} ${day}${to ? ` to ${to}` : ''}`);
    });
    return [...open, ...told];
  };

  // Sealed on 2026-02-16: open from 27 May (day 100) to 5 June (day 109).
  it('opens on the first day at home and closes on the last, and both are told', () => {
    expect(spans('')).toEqual(['2026-05-27 to 2026-06-05']);
    expect(spans('[2026-05-25, 2026-05-29], [2026-06-05, 2026-06-08]')).toEqual([
      '2026-05-30 to 2026-06-04',
      'visit-moved: A 2026-05-27–2026-06-05 to 2026-05-30–2026-06-04',
    ]);
  });

  it('is told on which of the days away the board reminds of it all the same', () => {
    // Reminders by behaviour.md: days 0 and 7 of its opening, and the last three: 27 May, 3 to 5 June.
    const told = (away: string): string[] =>
      compiled(`{ harvest: { from: 100 d, until: 110 d }, away: [${away}] }`).findings.flatMap((found) =>
        found.code === 'harvest-reminds-away'
          ? found.facts.reminders.map(({ zone, day }) => `${zone} ${day}`)
          : [],
      );
    expect(told('[2026-05-28, 2026-06-02]')).toEqual([]);
    expect(told('[2026-05-28, 2026-06-04]')).toEqual(['A 2026-06-03', 'A 2026-06-04']);
    // It opens on 29 May only: days 0 and 7 are 29 May and 5 June.
    expect(told('[2026-05-20, 2026-05-28], [2026-06-01, 2026-06-02]')).toEqual([]);
  });

  it('is dropped, and told, where nobody is there at all', () => {
    expect(spans('[2026-05-20, 2026-06-10]')).toEqual(['visit-dropped: A 2026-05-27–2026-06-05']);
  });
});

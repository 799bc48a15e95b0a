/** Forecasts: what they follow from, and that they are estimates with a band. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isoDate } from '../../../../shared/civil.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { type CropForecast, cropForecasts, roomMeans } from '../../../../src/answers/crop/forecast.ts';
import { forecastSentences } from '../../../../src/answers/crop/words.ts';
import { day, planOf } from '../visits/plan.ts';
import { entry, livesOf, SEASON_TEXT, season } from './book.ts';

const TODAY = day('2026-04-20');

/** Forecasts with the room at a temperature since sealing; undefined: not logged. */
function forecasts(notes: readonly Note[], celsius?: number, today = TODAY, plan = season): CropForecast[] {
  const days = Array.from({ length: today - day('2026-02-16') }, (_, i) => ({
    ...{ controller: 'pantry', day: (day('2026-02-16') + i) as Note['day'], mean: celsius ?? 0 },
  }));
  return cropForecasts(plan, livesOf(notes), roomMeans(celsius === undefined ? [] : days), today);
}
const knobs = (iso: string): Note => entry('spring', 'began', iso, { stage: 'knobs' });
const words = ({ stages }: CropForecast): string[] =>
  stages.map(({ stage, isSeen, likely }) => `${stage} ${isoDate(likely)}${isSeen ? ' seen' : ''}`);

describe('a forecast', () => {
  it('is none where nothing was seen to begin and no heights tell a rate', () => {
    expect(forecasts([entry('spring-1', 'note', '2026-04-10', { heightMm: 30 })], 21)).toEqual([]);
  });

  it('counts on from what was seen, in a room as warm as the stages are meant for', () => {
    // Knobs on 25 March, five days early; climb takes 42 days, and harvest opens 14 days into ripen (day 98 of 84).
    // The room of the plan, 18 to 27 °C, has its middle at 22.5.
    const [one, ...others] = forecasts([knobs('2026-03-25')], 22.5);
    expect(others).toEqual([]);
    expect(one).toMatchObject({ bags: 12, zones: [0, 1, 2], meantFor: 22.5, room: { mean: 22.5 } });
    expect(one && words(one)).toEqual(['climb 2026-03-25 seen', 'ripen 2026-05-06']);
    expect(one?.harvest && isoDate(one.harvest.likely)).toBe('2026-05-20');
    // A quarter either way: 32 and 53 days (31.5 and 52.5, by whole days) from knobs to ripening.
    expect(one?.stages[1]).toMatchObject({ early: day('2026-03-25') + 32, late: day('2026-03-25') + 53 });
  });

  it('is later in a colder room: 42 days of climb at 14 °C where 22.5 is meant are 81.7 days', () => {
    // (22.5 − 5) / (14 − 5) = 1.944; 42 · 1.944 = 81.7, so on the 82nd day.
    const [one] = forecasts([knobs('2026-03-25')], 14);
    expect(one?.stages[1]?.likely).toBe(day('2026-03-25') + 82);
  });

  it('takes each stage to be meant for its own band, where it says one', () => {
    // Climb at 13 to 15 °C, ripen by the room's 18 to 27: at 14 °C the climb takes its 42 days, and the 14 days of ripen
    // up to the harvest take 27.2: 14 · (22.5 − 5) / (14 − 5).
    const own = planOf(SEASON_TEXT.replaceAll('days: 42,', 'days: 42, keep: [13 C, 15 C],'));
    const [one] = forecasts([knobs('2026-03-25')], 14, TODAY, own);
    expect(one?.meantFor).toBe(14);
    expect(one?.stages[1]?.likely).toBe(day('2026-03-25') + 42);
    expect(one?.harvest?.likely).toBe(day('2026-03-25') + 42 + 28);
  });

  it('takes the day on which half of the bags had begun', () => {
    const some = [1, 2, 3, 4, 5].map((n) => entry(`spring-${n}`, 'began', '2026-03-25', { stage: 'knobs' }));
    expect(forecasts(some, 22.5)).toEqual([]);
    const half = [...some, entry('spring-6', 'began', '2026-03-28', { stage: 'knobs' })];
    expect(forecasts(half, 22.5).map(words)).toEqual([['climb 2026-03-28 seen', 'ripen 2026-05-09']]);
  });

  it('ends the climb sooner where growth reaches the top of its bag', () => {
    // 2.2 kg at 0.65 kg/L on 200 by 120 mm stand 141 mm high: 339 mm are free. At 100 mm on 20 April and 8 mm a day
    // the top is reached 30 days later, on 20 May, after the climb is over; at 12 mm a day on 10 May.
    const grown = (rate: number): Note[] => [
      knobs('2026-04-06'),
      ...[1, 2, 3].flatMap((n) => [
        entry(`spring-${n}`, 'note', '2026-04-13', { heightMm: 100 - 7 * rate }),
        entry(`spring-${n}`, 'note', '2026-04-20', { heightMm: 100 }),
      ]),
    ];
    const ripe = (rate: number): string | undefined => {
      const [one] = forecasts(grown(rate), 22.5);
      return one?.stages[1] && isoDate(one.stages[1].likely);
    };
    expect(ripe(1)).toBe('2026-05-18');
    expect(ripe(8)).toBe('2026-05-18');
    expect(ripe(12)).toBe('2026-05-10');
  });

  it('never lies before today for what is not seen yet, and is in order', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 110 }),
        fc.double({ min: 4, max: 40, noNaN: true }),
        (after, celsius) => {
          const today = (day('2026-03-25') + after) as Note['day'];
          for (const one of forecasts([knobs('2026-03-25')], celsius, today)) {
            for (const ahead of [...one.stages.slice(1), ...(one.harvest ? [one.harvest] : [])]) {
              expect(ahead.early).toBeGreaterThanOrEqual(today);
              expect(ahead.likely).toBeGreaterThanOrEqual(ahead.early);
              expect(ahead.late).toBeGreaterThanOrEqual(ahead.likely);
            }
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it('counts only bags that still stand', () => {
    const out = Array.from({ length: 12 }, (_, i) => entry(`spring-${i + 1}`, 'cull', '2026-04-10'));
    expect(forecasts([knobs('2026-03-25'), ...out], 22.5)).toEqual([]);
  });
});

describe('the words of a forecast', () => {
  const told = (iso: string, celsius: number): string => {
    const today = day(iso);
    const [found] = forecastSentences(season, {
      today,
      forecasts: forecasts([knobs('2026-03-25')], celsius, today),
    });
    return found ?? '';
  };

  it('say that a stage should be there by now only once its latest day has come', () => {
    // Climb takes 42 days: 53 (a quarter more) after 25 March are over on 17 May.
    expect(told('2026-04-20', 22.5)).toContain('ripen from about 2026-05-06 (2026-04-26 to 2026-05-17)');
    expect(told('2026-05-17', 22.5)).toContain('ripen by now, though not noted yet');
  });

  it('do not say so of growth that stands still, too cold or too hot', () => {
    for (const celsius of [-5, 40]) {
      expect(told('2026-04-20', celsius)).not.toContain('by now');
      expect(told('2026-04-20', celsius)).toMatch(/ripen not before 202[67]-.*harvest not before 202[678]-/);
    }
  });
});

/**
 * What will be ripe when: bags by week over all batches, with a mass where the
 * grower's own harvests tell one.
 *
 * Always holds: bags taken out or weighed already are not counted, nor zones
 * whose harvest was answered as done; a mass is
 * the mean of at least three weighed bags, with the range in which so many bags like them come to lie.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate, weekday } from '../../../shared/civil.ts';
import { harvestWords, type Units } from '../../../shared/measures.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type BagLife, bagLives, bagsStanding } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
import { freshMasses } from '../crop/figures.ts';
import { type Interval, type Observation, type Sample, sampleOf, studentPoint } from '../crop/intervals.ts';
import { type VisitOutcome, visitKey } from './outcomes.ts';

export interface ForecastWeek {
  /** Its Monday. */
  readonly monday: CivilDay;
  readonly entries: readonly ForecastEntry[];
  readonly bags: number;
  readonly grams: MassGuess | undefined;
}

export interface ForecastEntry {
  readonly batch: string;
  readonly zone: string;
  readonly bags: number;
  readonly opens: CivilDay;
  readonly closes: CivilDay;
}

/** The mass of some bags together, g, and from where to where it lies, 95 % sure; no range where no scatter was seen. */
export interface MassGuess extends Partial<Interval> {
  readonly mean: number;
}

const FEWEST_WEIGHED = 3;

/** The weeks in which harvests open, from the week of `today` on; harvests open already count in it. */
export function harvestForecast(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  notes: readonly Note[],
  outcomes: ReadonlyMap<string, VisitOutcome>,
  today: CivilDay,
): ForecastWeek[] {
  const lives = bagLives(plan, notes);
  const weighed = sampleOf(massesOf(lives));
  const weeks = new Map<number, ForecastEntry[]>();
  for (const visit of visits) {
    const closes = civilDay(visit.day + visit.days - 1);
    if (visit.kind !== 'harvest' || closes < today) continue;
    const answer = outcomes.get(visitKey(visit.zone, visit.kind, visit.day))?.answer;
    if (answer === 'done' || answer === 'late') continue;
    const bags = bagsLeft(lives, visit);
    if (bags === 0) continue;
    const monday = mondayOf(civilDay(Math.max(visit.day, today)));
    const entry = {
      ...{ batch: itemAt(plan.batches, visit.batch).name, zone: itemAt(plan.zones, visit.zone).name, bags },
      ...{ opens: visit.day, closes },
    };
    weeks.set(monday, [...(weeks.get(monday) ?? []), entry]);
  }
  return [...weeks]
    .sort(([a], [b]) => a - b)
    .map(([monday, entries]) => {
      const bags = entries.reduce((sum, entry) => sum + entry.bags, 0);
      const grams = weighed && weighed.bags >= FEWEST_WEIGHED ? massOf(weighed, bags) : undefined;
      return { monday: civilDay(monday), entries, bags, grams };
    });
}

function mondayOf(day: CivilDay): CivilDay {
  return civilDay(day - weekday(day));
}

function bagsLeft(lives: readonly BagLife[], visit: VisitOccurrence): number {
  const last = visit.day + visit.days - 1;
  return bagsStanding(lives, visit.zone, last).filter(
    ({ notes }) => !notes.some(({ massG }) => massG !== undefined),
  ).length;
}

/** What was weighed: of harvests, and of bags that were weighed before there were harvests in the book. */
function massesOf(lives: readonly BagLife[]): Observation[] {
  const noted = lives.flatMap(({ harvest, notes }) => {
    const grams = harvest ? [] : notes.flatMap(({ massG }) => massG ?? []);
    return grams.length === 0 ? [] : [{ value: grams.reduce((sum, one) => sum + one, 0), bags: 1 }];
  });
  return [...freshMasses(lives), ...noted];
}

/** The mass of so many bags to come: each scatters, and the mean itself is known only so well. */
function massOf({ mean, bags: weighed, error }: Sample, bags: number): MassGuess {
  const sum = mean * bags;
  if (!error) return { mean: sum };
  const ofSum = error.ofMean * Math.sqrt(weighed * bags + bags * bags);
  const half = studentPoint(error.freedom) * ofSum;
  return { mean: sum, low: Math.max(0, sum - half), high: sum + half };
}

const guessWords = (grams: number, units: Units): string => harvestWords(Math.round(grams), units);

function massGuessWords({ mean, low, high }: MassGuess, units: Units): string {
  const about = guessWords(mean, units);
  if (low === undefined || high === undefined) return about;
  return `${about} (${guessWords(low, units)} to ${guessWords(high, units)}, 95 % sure)`;
}

/** The forecast in lines. */
export function forecastLines(weeks: readonly ForecastWeek[], units: Units): string[] {
  if (weeks.length === 0) return ['No harvest is ahead.'];
  return weeks.map((week) => {
    const where = week.entries.map((entry) => `${entry.zone} (${entry.batch}, ${entry.bags})`).join(', ');
    const mass = week.grams ? `, about ${massGuessWords(week.grams, units)}` : '';
    const bags = week.bags === 1 ? '1 bag' : `${week.bags} bags`;
    return `week of ${isoDate(week.monday)}: ${bags}${mass}: ${where}`;
  });
}

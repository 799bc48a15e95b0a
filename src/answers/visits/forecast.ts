/**
 * What will be ripe when: bags by week over all batches, with a mass where the
 * grower's own harvests tell one.
 *
 * Always holds: bags taken out or weighed already are not counted, nor zones
 * whose harvest was answered as done; a mass is
 * the mean of at least three weighed bags, and says how far they scattered.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate, weekday } from '../../../shared/civil.ts';
import { harvestWords, type Units } from '../../../shared/measures.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type BagLife, bagLives, bagsStanding } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
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

export interface MassGuess {
  readonly mean: number;
  /** Standard deviation of the sum, from the scatter of the weighed bags. */
  readonly spread: number;
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
  const each = massOfOne(lives);
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
      const grams = each && { mean: each.mean * bags, spread: each.spread * Math.sqrt(bags) };
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

/** Mean and standard deviation of a bag's mass, g; undefined below three weighed bags. */
function massOfOne(lives: readonly BagLife[]): MassGuess | undefined {
  const masses = lives.flatMap(({ notes }) => {
    const weighed = notes.flatMap(({ massG }) => massG ?? []);
    return weighed.length === 0 ? [] : [weighed.reduce((sum, one) => sum + one, 0)];
  });
  if (masses.length < FEWEST_WEIGHED) return undefined;
  const mean = masses.reduce((sum, one) => sum + one, 0) / masses.length;
  const square = masses.reduce((sum, one) => sum + (one - mean) ** 2, 0) / (masses.length - 1);
  return { mean, spread: Math.sqrt(square) };
}

const guessWords = (grams: number, units: Units): string => harvestWords(Math.round(grams), units);

/** The forecast in lines. */
export function forecastLines(weeks: readonly ForecastWeek[], units: Units): string[] {
  if (weeks.length === 0) return ['No harvest is ahead.'];
  return weeks.map((week) => {
    const where = week.entries.map((entry) => `${entry.zone} (${entry.batch}, ${entry.bags})`).join(', ');
    const mass = week.grams
      ? `, about ${guessWords(week.grams.mean, units)} (± ${guessWords(week.grams.spread, units)})`
      : '';
    const bags = week.bags === 1 ? '1 bag' : `${week.bags} bags`;
    return `week of ${isoDate(week.monday)}: ${bags}${mass}: ${where}`;
  });
}

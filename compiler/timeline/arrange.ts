/**
 * Fits the wanted visits to the grower's days: none while away, not more bags
 * than they can do, one walk a day.
 *
 * Always holds: a visit moves by less than its own interval, else it is dropped
 * (away) or stays (too many bags), and either is told; a harvest, being open
 * for weeks, never moves.
 */

import { itemAt } from '../../shared/assert.ts';
import { type CivilDay, civilDay, minutes } from '../../shared/units.ts';
import type { BatchZone, ResolvedPlan } from '../plan/plan.ts';
import type { VisitOccurrence } from './visit.ts';

export interface Moved {
  readonly visit: VisitOccurrence;
  /** Where it went; undefined: it could not be kept (`away`) or moved (`most`). */
  readonly to: CivilDay | undefined;
  readonly why: 'away' | 'most';
}

interface Arranged {
  readonly visits: readonly VisitOccurrence[];
  readonly moved: readonly Moved[];
}

type Away = ResolvedPlan['visits']['away'];

const isAway = (away: Away, day: number): boolean =>
  away.some(([from, until]) => day >= from && day <= until);

const key = (visit: VisitOccurrence, day: number): string => `${visit.kind} ${visit.zone} ${day}`;

/** Moves visits that fall on days away to the nearest day before or after. */
export function keepAway(
  wanted: readonly VisitOccurrence[],
  away: Away,
  stayOf: (visit: VisitOccurrence) => BatchZone,
): Arranged {
  if (away.length === 0) return { visits: wanted, moved: [] };
  const fixed = wanted.filter((visit) => visit.kind === 'harvest' || !isAway(away, visit.day));
  const taken = new Set(fixed.map((visit) => key(visit, visit.day)));
  const visits = [...fixed];
  const moved: Moved[] = [];
  for (const visit of wanted) {
    if (visit.kind === 'harvest' || !isAway(away, visit.day)) continue;
    const to = nearestDay(visit, away, stayOf(visit));
    moved.push({ visit, to, why: 'away' });
    if (to === undefined || taken.has(key(visit, to))) continue;
    taken.add(key(visit, to));
    visits.push({ ...visit, day: to });
  }
  return { visits, moved };
}

/** The nearest day at home within the visit's interval and its stay (the earlier of two equally near). */
function nearestDay(visit: VisitOccurrence, away: Away, stay: BatchZone): CivilDay | undefined {
  for (let step = 1; step <= visit.interval; step++) {
    for (const day of [visit.day - step, visit.day + step]) {
      if (day > stay.enters && day < stay.free && !isAway(away, day)) return civilDay(day);
    }
  }
  return undefined;
}

/** Moves whole zones to a later day (by at most half the interval) while a day has more than `most` bags. */
export function spreadBags(
  plan: ResolvedPlan,
  wanted: readonly VisitOccurrence[],
  stayOf: (visit: VisitOccurrence) => BatchZone,
): Arranged {
  const most = plan.visits.most;
  if (most === undefined) return { visits: wanted, moved: [] };
  const bagsOf = (zone: number): number => itemAt(plan.zones, zone).places.length;
  const load = new Map<number, Map<number, number>>();
  const visits: VisitOccurrence[] = [];
  const moved: Moved[] = [];
  const ordered = [...wanted].sort((a, b) => a.day - b.day || a.zone - b.zone);
  const put = (visit: VisitOccurrence, day: number): void => {
    const zones = load.get(day) ?? new Map<number, number>();
    load.set(day, zones.set(visit.zone, bagsOf(visit.zone)));
    visits.push({ ...visit, day: civilDay(day) });
  };
  const room = (visit: VisitOccurrence, day: number): boolean => {
    const zones = load.get(day) ?? new Map<number, number>();
    const others = [...zones].reduce((sum, [zone, bags]) => (zone === visit.zone ? sum : sum + bags), 0);
    return others + bagsOf(visit.zone) <= most;
  };
  for (const visit of ordered) {
    if (visit.kind === 'harvest' || room(visit, visit.day)) {
      put(visit, visit.day);
      continue;
    }
    const day = laterDay(
      visit,
      stayOf(visit).free,
      (later) => !isAway(plan.visits.away, later) && room(visit, later),
    );
    moved.push({ visit, to: day, why: 'most' });
    put(visit, day ?? visit.day);
  }
  return { visits: withoutDoubles(visits), moved };
}

function laterDay(
  visit: VisitOccurrence,
  free: CivilDay,
  fits: (day: number) => boolean,
): CivilDay | undefined {
  for (let step = 1; step <= Math.max(1, Math.floor(visit.interval / 2)); step++) {
    const day = visit.day + step;
    if (day < free && fits(day)) return civilDay(day);
  }
  return undefined;
}

function withoutDoubles(visits: readonly VisitOccurrence[]): VisitOccurrence[] {
  const seen = new Set<string>();
  return visits.filter((visit) => {
    const name = key(visit, visit.day);
    if (seen.has(name)) return false;
    seen.add(name);
    return true;
  });
}

/** Visits of one controller on one day become one walk, at the earliest of their minutes. */
export function gatherWalks(visits: readonly VisitOccurrence[]): VisitOccurrence[] {
  const earliest = new Map<string, number>();
  const walk = (visit: VisitOccurrence): string => `${visit.controller} ${visit.day}`;
  for (const visit of visits) {
    if (visit.kind === 'harvest') continue;
    earliest.set(walk(visit), Math.min(visit.at, earliest.get(walk(visit)) ?? visit.at));
  }
  return visits.map((visit) =>
    visit.kind === 'harvest' ? visit : { ...visit, at: minutes(earliest.get(walk(visit)) ?? visit.at) },
  );
}

/**
 * Fits the wanted visits to the grower's days: none while away, not more bags
 * than they can do, one walk a day for visits whose time the plan leaves open.
 *
 * Always holds: a visit moves by at most its own interval to be kept out of the
 * days away and by half of it for the number of bags, else it is dropped (away)
 * or stays (too many bags), and either is told; a harvest, being open for weeks,
 * only opens later or closes sooner, so that both happen while somebody is there.
 */

import { itemAt } from '../../shared/assert.ts';
import { type CivilDay, civilDay, minutes } from '../../shared/units.ts';
import type { BatchZone, ResolvedPlan } from '../plan/plan.ts';
import type { VisitOccurrence } from './visit.ts';

export interface Moved {
  /** As the plan wants it. */
  readonly visit: VisitOccurrence;
  /** As it is kept; undefined: it could not be kept (`away`) or moved (`most`). */
  readonly to: VisitOccurrence | undefined;
  /** A visit of its kind and zone is there on that day: the two are one. */
  readonly joins: boolean;
  readonly why: 'away' | 'most';
}

interface Arranged {
  readonly visits: readonly VisitOccurrence[];
  readonly moved: readonly Moved[];
}

/** The days on which bags are there. */
type Stretch = Pick<BatchZone, 'enters' | 'free'>;

type Away = ResolvedPlan['visits']['away'];

/** Whether nobody is there on a day. */
export const isAway = (away: Away, day: number): boolean =>
  away.some(([from, until]) => day >= from && day <= until);

const key = (visit: VisitOccurrence, day: number): string => `${visit.kind} ${visit.zone} ${day}`;

/** Moves visits that fall on days away to the nearest day before or after. */
export function keepAway(
  wanted: readonly VisitOccurrence[],
  away: Away,
  stayOf: (visit: VisitOccurrence) => Stretch,
): Arranged {
  if (away.length === 0) return { visits: wanted, moved: [] };
  const kept = new Map<string, VisitOccurrence>();
  const moved: Moved[] = [];
  for (const visit of wanted) if (isAtHome(visit, away)) kept.set(key(visit, visit.day), visit);
  for (const visit of wanted) {
    if (isAtHome(visit, away)) continue;
    const to = visit.kind === 'harvest' ? openAtHome(visit, away) : moveHome(visit, away, stayOf(visit));
    const there = to && kept.get(key(to, to.day));
    moved.push({ visit, to: there ?? to, joins: there !== undefined, why: 'away' });
    if (to && !there) kept.set(key(to, to.day), to);
  }
  return { visits: [...kept.values()], moved };
}

function isAtHome({ kind, day, days }: VisitOccurrence, away: Away): boolean {
  return !isAway(away, day) && (kind !== 'harvest' || !isAway(away, day + days - 1));
}

/** A harvest from the first to the last day at home of its opening; undefined when there is none. */
function openAtHome(visit: VisitOccurrence, away: Away): VisitOccurrence | undefined {
  const open = Array.from({ length: visit.days }, (_, i) => visit.day + i).filter(
    (day) => !isAway(away, day),
  );
  const [first, last] = [open[0], open.at(-1)];
  if (first === undefined || last === undefined) return undefined;
  return { ...visit, day: civilDay(first), days: last - first + 1 };
}

function moveHome(visit: VisitOccurrence, away: Away, stay: Stretch): VisitOccurrence | undefined {
  const day = nearestDay(visit, away, stay);
  return day === undefined ? undefined : { ...visit, day };
}

/** The first day at home from a day on. */
export function nextDayHome(away: Away, day: CivilDay): CivilDay {
  const spell = away.find(([from, until]) => from <= day && day <= until);
  return spell ? nextDayHome(away, civilDay(spell[1] + 1)) : day;
}

/** Both kinds of moves, each visit once: from the day it was wanted on to the day it is kept on. */
export function movesInAll(away: readonly Moved[], most: readonly Moved[]): Moved[] {
  const later = new Map(most.map((one) => [one.visit, one]));
  const told = new Set<VisitOccurrence>();
  const all = away.map((one) => {
    const next = one.to && later.get(one.to);
    if (!next?.to) return one;
    if (!one.joins) told.add(next.visit);
    return { ...one, to: next.to, joins: one.joins || next.joins };
  });
  return [...all, ...most.filter(({ visit }) => !told.has(visit))];
}

/** The nearest day at home within the visit's interval and its stay (the earlier of two equally near). */
function nearestDay(visit: VisitOccurrence, away: Away, stay: Stretch): CivilDay | undefined {
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
  const put = (visit: VisitOccurrence): void => {
    const zones = load.get(visit.day) ?? new Map<number, number>();
    load.set(visit.day, zones.set(visit.zone, bagsOf(visit.zone)));
    visits.push(visit);
  };
  const room = (visit: VisitOccurrence, day: number): boolean => {
    const zones = load.get(day) ?? new Map<number, number>();
    const others = [...zones].reduce((sum, [zone, bags]) => (zone === visit.zone ? sum : sum + bags), 0);
    return others + bagsOf(visit.zone) <= most;
  };
  for (const visit of ordered) {
    if (visit.kind === 'harvest' || room(visit, visit.day)) {
      put(visit);
      continue;
    }
    const day = laterDay(
      visit,
      stayOf(visit).free,
      (later) => !isAway(plan.visits.away, later) && room(visit, later),
    );
    const to = day === undefined ? undefined : { ...visit, day };
    moved.push({ visit, to, joins: false, why: 'most' });
    put(to ?? visit);
  }
  const kept = withoutDoubles(visits, new Set(moved.map(({ to }) => to)));
  const stay = new Set(kept);
  return {
    visits: kept,
    moved: moved.map((one) => ({ ...one, joins: one.to !== undefined && !stay.has(one.to) })),
  };
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

/** One visit of a kind, zone and day: one that did not have to move before one that did. */
function withoutDoubles(
  visits: readonly VisitOccurrence[],
  moved: ReadonlySet<VisitOccurrence | undefined>,
): VisitOccurrence[] {
  const chosen = new Map<string, VisitOccurrence>();
  for (const visit of visits) {
    const other = chosen.get(key(visit, visit.day));
    if (other === undefined || (moved.has(other) && !moved.has(visit)))
      chosen.set(key(visit, visit.day), visit);
  }
  return [...chosen.values()];
}

/**
 * Visits of one controller on one day become one walk: at the earliest minute that the plan says, else
 * at the earliest of all. A visit whose own minute the plan says keeps it.
 */
export function gatherWalks(visits: readonly VisitOccurrence[]): VisitOccurrence[] {
  const walk = (visit: VisitOccurrence): string => `${visit.controller} ${visit.day}`;
  const earliest = (fixed: boolean): Map<string, number> => {
    const found = new Map<string, number>();
    for (const visit of visits) {
      if (visit.kind === 'harvest' || visit.fixed !== fixed) continue;
      found.set(walk(visit), Math.min(visit.at, found.get(walk(visit)) ?? visit.at));
    }
    return found;
  };
  const [said, open] = [earliest(true), earliest(false)];
  return visits.map((visit) => {
    if (visit.kind === 'harvest' || visit.fixed) return visit;
    return { ...visit, at: minutes(said.get(walk(visit)) ?? open.get(walk(visit)) ?? visit.at) };
  });
}

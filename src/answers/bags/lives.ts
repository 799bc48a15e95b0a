/**
 * The life of every bag, from the plan and the grow book: its name, its places
 * over time, what began when, and how it went out. The one home of these
 * questions.
 *
 * Always holds: a bag has one name for life; it stands in one place at a time,
 * from a day on and up to and not including another; a bag that is out stands
 * nowhere from that day on. What the book says of a bag the plan does not have
 * is left out here and stays in the book.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { placeName } from '../../../compiler/plan/place-names.ts';
import type { BatchZone, ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import type { Note } from '../book/note.ts';
import { bagName, type RosterEntry, rosterOf } from './roster.ts';

/** A stretch of days in one place. */
export interface BagStay {
  /** Index into the plan's zones. */
  readonly zone: number;
  /** 1 the first. */
  readonly position: number;
  /** `A-11`. */
  readonly place: string;
  readonly from: CivilDay;
  /** The first day on which it no longer stands there. */
  readonly until: CivilDay;
}

/** How a bag went out. */
export interface BagOut {
  readonly kind: 'cull' | 'harvest';
  readonly day: CivilDay;
  /** Of a cull: `mould` and so on. */
  readonly why: string | undefined;
}

/** What a bag gave. */
export interface BagHarvest {
  readonly day: CivilDay;
  readonly freshG: number;
  readonly dryG: number | undefined;
  /** Bags weighed together, of which this is an equal share; 1: weighed alone. */
  readonly together: number;
}

export interface BagLife {
  /** Index into the plan's batches. */
  readonly batch: number;
  /** Number in the batch, 1 the first. */
  readonly number: number;
  /** `spring-07`. */
  readonly name: string;
  readonly sealed: CivilDay;
  /** In order of time; empty where the plan no longer has the zone, or it was out before it came there. */
  readonly stays: readonly BagStay[];
  /** What was seen to begin, of this bag, else of its whole batch: stages and the signs `knobs` and `colour`. */
  readonly began: readonly { readonly what: string; readonly day: CivilDay; readonly ofBag: boolean }[];
  readonly out: BagOut | undefined;
  readonly harvest: BagHarvest | undefined;
  /** Every entry about it, oldest first. */
  readonly notes: readonly Note[];
}

/** The lives of all bags, by batch and number. */
export function bagLives(plan: ResolvedPlan, notes: readonly Note[]): BagLife[] {
  return plan.batches.flatMap((batch, index) => {
    const roster = rosterOf(plan, batch, notes);
    const mine = notes.filter((note) => note.batch === batch.name);
    const byNumber = notesByNumber(roster, mine);
    const wholeBatch = mine.filter((note) => note.kind === 'began' && note.bag === '');
    return roster.map((entry) => lifeOf(plan, index, entry, byNumber.get(entry.number) ?? [], wholeBatch));
  });
}

/** The bags that stand in a zone on a day, by position. */
export function bagsStanding(lives: readonly BagLife[], zone: number, day: number): BagLife[] {
  const found = lives.flatMap((life) => {
    const stay = placeOn(life, day);
    return stay?.zone === zone ? [{ life, position: stay.position }] : [];
  });
  return found.sort((a, b) => a.position - b.position).map(({ life }) => life);
}

/** Where a bag stands on a day; undefined when it is not on the rack. */
export function placeOn(life: BagLife, day: number): BagStay | undefined {
  return life.stays.find(({ from, until }) => from <= day && day < until);
}

/** Where a bag stands on a day, else where it stood last, else where it is to stand. */
export function lastPlace(life: BagLife, day: number): BagStay | undefined {
  return placeOn(life, day) ?? life.stays.findLast(({ from }) => from <= day) ?? life.stays[0];
}

/** The stage of a bag on a day: that of its own batch, also where it is a guest of another. */
export function stageOfBag(plan: ResolvedPlan, life: BagLife, day: number): ResolvedStage | undefined {
  const zone = placeOn(life, day)?.zone;
  const stays = itemAt(plan.batches, life.batch).zones;
  const own = zone === undefined ? undefined : stayIn(plan, life.batch, zone);
  return stageOn(own, day) ?? stays.map((stay) => stageOn(stay, day)).find((stage) => stage !== undefined);
}

/** The entries about each bag; those from before bags had numbers name a place. */
function notesByNumber(roster: readonly RosterEntry[], notes: readonly Note[]): Map<number, Note[]> {
  const byPlace = new Map(roster.map(({ zone, position, number }) => [`${zone} ${position}`, number]));
  const found = new Map<number, Note[]>();
  for (const note of notes) {
    const number = note.number ?? byPlace.get(`${note.zone} ${positionOf(note)}`);
    if (number !== undefined) found.set(number, [...(found.get(number) ?? []), note]);
  }
  return found;
}

/** The position in `A2` of zone A, or in `A-2`. */
function positionOf({ zone, bag }: Note): string {
  return bag.startsWith(zone) ? bag.slice(zone.length).replace(/^-/, '') : '';
}

function lifeOf(
  plan: ResolvedPlan,
  batch: number,
  entry: RosterEntry,
  notes: readonly Note[],
  wholeBatch: readonly Note[],
): BagLife {
  const { name, sealed } = itemAt(plan.batches, batch);
  const ordered = [...notes].sort((a, b) => a.day - b.day || a.writtenMs - b.writtenMs);
  const out = outOf(ordered);
  return {
    ...{ batch, number: entry.number, name: bagName(name, entry.number), sealed },
    stays: staysOf(plan, batch, entry, ordered, out?.day),
    began: begunOf(ordered, wholeBatch).filter(({ day }) => out === undefined || day <= out.day),
    ...{ out, harvest: harvestOf(ordered), notes: ordered },
  };
}

function outOf(notes: readonly Note[]): BagOut | undefined {
  const found = notes.find(({ kind }) => kind === 'cull' || kind === 'harvest');
  if (!found) return undefined;
  return { kind: found.kind === 'cull' ? 'cull' : 'harvest', day: found.day, why: found.why };
}

function harvestOf(notes: readonly Note[]): BagHarvest | undefined {
  const harvests = notes.filter(({ kind }) => kind === 'harvest');
  const cut = harvests.find(({ massG }) => massG !== undefined);
  if (cut?.massG === undefined) return undefined;
  const dryG = harvests.find((one) => one.dryG !== undefined)?.dryG;
  return { day: cut.day, freshG: cut.massG, dryG, together: cut.together ?? 1 };
}

function begunOf(own: readonly Note[], wholeBatch: readonly Note[]): BagLife['began'] {
  const begun = new Map<string, BagLife['began'][number]>();
  const add = (notes: readonly Note[], ofBag: boolean): void => {
    for (const { kind, stage, day } of notes) {
      if (kind === 'began' && stage !== undefined) begun.set(stage, { what: stage, day, ofBag });
    }
  };
  add(wholeBatch, false);
  add(own, true);
  return [...begun.values()].sort((a, b) => a.day - b.day);
}

/** The places of a bag: where it was sealed for, then where it was moved to. */
function staysOf(
  plan: ResolvedPlan,
  batch: number,
  entry: RosterEntry,
  notes: readonly Note[],
  out: CivilDay | undefined,
): BagStay[] {
  const moves = notes.flatMap(({ kind, to, day }) => (kind === 'move' && to ? [{ ...to, day }] : []));
  const steps = [{ zone: entry.zone, position: entry.position, day: undefined }, ...moves];
  return steps.flatMap(({ zone: zoneName, position, day }, i) => {
    const zone = plan.zones.findIndex(({ name }) => name === zoneName);
    const bounds = zone < 0 ? undefined : boundsIn(plan, batch, zone, day);
    if (!bounds) return [];
    const left = Math.min(steps[i + 1]?.day ?? bounds.free, out ?? bounds.free, bounds.free);
    if (left <= bounds.from) return [];
    const place = placeName(zoneName, position);
    return [{ zone, position, place, from: bounds.from, until: civilDay(left) }];
  });
}

/** From when to when a bag may stand in a zone: the batch's own stay there, or as a guest its host's. */
function boundsIn(
  plan: ResolvedPlan,
  batch: number,
  zone: number,
  movedOn: CivilDay | undefined,
): { readonly from: CivilDay; readonly free: CivilDay } | undefined {
  const own = stayIn(plan, batch, zone);
  if (movedOn === undefined) return own && { from: own.enters, free: own.free };
  if (own && movedOn < own.free) return { from: movedOn, free: own.free };
  const host = batchOn(plan, zone, movedOn);
  const free =
    host === undefined ? lastDay(itemAt(plan.batches, batch).zones) : stayIn(plan, host, zone)?.free;
  return { from: movedOn, free: civilDay(Math.max(free ?? movedOn, movedOn + 1)) };
}

/** The first day on which a bag of a batch (index) that comes into a zone on a day can stand there no longer. */
export const mayStandUntil = (plan: ResolvedPlan, batch: number, zone: number, comes: CivilDay): CivilDay =>
  boundsIn(plan, batch, zone, comes)?.free ?? comes;

const lastDay = (stays: readonly BatchZone[]): CivilDay =>
  civilDay(Math.max(0, ...stays.map(({ free }) => free)));

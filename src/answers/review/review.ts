/**
 * The review of a plan: archive against plan, as figures and incidents.
 *
 * Always holds: what nobody can know is told as unknown, a day whose proof
 * differs as unexplained; nothing here reads an archive or a clock, or prints a
 * word.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { firstInstant, type UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { NO_TEMPERATURE } from '../../../shared/log.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { bagLives, bagsStanding } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
import {
  type Correction,
  correct,
  missedWhereTakenBack,
  outcomesOf,
  takenBack,
  type VisitOutcome,
  visitKey,
} from '../visits/outcomes.ts';
import { clockDrift, type Drift } from './drift.ts';
import { dayAt, type Incident, inOrder, storyIncidents, visitEnd, visitIncidents } from './incidents.ts';
import type { Story } from './story.ts';
import { plannedLine, shownLine, unknownSpans } from './timeline.ts';
import type { Told } from './told.ts';
import { type ZoneDay, zoneDays } from './zone-days.ts';
import { PlanLight } from './zone-light.ts';

/**
 * How far a day of a zone is proved. `part`: only what came after a power cut is.
 * `estimated`: by a clock that is not to be trusted and has not been set yet, so
 * that even the day itself may be another.
 */
export type DayStanding = 'proved' | 'part' | 'unexplained' | 'unknown' | 'estimated' | 'open';

export interface ReviewedDay extends ZoneDay {
  readonly standing: DayStanding;
}

/** The room on one civil day, by the controllers' probes; °C. */
export interface RoomDay {
  readonly day: CivilDay;
  readonly controller: string;
  readonly min: number;
  readonly mean: number;
  readonly max: number;
  readonly outsideMinutes: number;
}

export interface ReviewedController {
  readonly name: string;
  readonly identities: readonly number[];
  /** True UTC second up to which its log was read; undefined: nothing was. */
  readonly readUntil: number | undefined;
  readonly drift: Drift | undefined;
  /** Switchings of each output over the reviewed time. */
  readonly operations: readonly number[];
  /** Harmless resets (such as opening a port) over the reviewed time. */
  readonly resets: number;
}

export interface Review {
  readonly from: CivilDay;
  /** First day after the last reviewed one. */
  readonly until: CivilDay;
  readonly days: readonly ReviewedDay[];
  readonly incidents: readonly Incident[];
  readonly room: readonly RoomDay[];
  readonly controllers: readonly ReviewedController[];
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
  readonly notes: readonly Note[];
}

/** What is reviewed. */
export interface ReviewInput {
  readonly plan: ResolvedPlan;
  /** What the archive holds of each of its controllers, in plan order. */
  readonly told: readonly Told[];
  readonly notes: readonly Note[];
  readonly corrections: readonly Correction[];
  /** The plan's present table of each controller. */
  readonly tables: readonly Uint8Array[];
  readonly visits: readonly VisitOccurrence[];
  readonly offsets: UtcOffsets;
  readonly from: CivilDay;
  /** Texts of the files that its lamps name (photometric, spectra), by name. */
  readonly photometry?: Readonly<Record<string, string>>;
}

/** Reviews a plan from `from` on, as far as the logs were read. */
export function reviewPlan(input: ReviewInput): Review {
  const { plan, told, notes, offsets, from } = input;
  const stories = told.map((one) => one.story);
  const until = lastDay(input, stories);
  const [begin, end] = [firstInstant(offsets, from, 0), firstInstant(offsets, until, 0)];
  const lines = {
    planned: stories.map((story, i) => plannedLine(story, input.tables[i], begin, end)),
    shown: stories.map(shownLine),
  };
  const light = new PlanLight(plan, notes, input.photometry ?? {});
  const days = zoneDays(plan, light, lines, offsets, from, until);
  const outcomes = allOutcomes(input);
  const lives = bagLives(plan, notes);
  const hasBags = (zone: number, day: CivilDay): boolean => bagsStanding(lives, zone, day).length > 0;
  const visits = input.visits.filter(({ zone, day }) => hasBags(zone, day));
  const visitsAsTold = { plan, visits, outcomes, offsets, stories, hasBags };
  const incidents = [
    ...stories.flatMap((story, i) =>
      story ? storyIncidents(story, itemAt(plan.controllers, i).name, begin, end) : [],
    ),
    ...visitIncidents(visitsAsTold, begin, end),
  ];
  return {
    ...{ from, until, outcomes },
    days: days.map((day) => ({ ...day, standing: standingOf(day, stories, light, offsets) })),
    incidents: inOrder(incidents),
    room: told.flatMap((one, i) => roomDays(one, itemAt(plan.controllers, i).name, from, until)),
    controllers: told.map((one, i) => reviewedController(one, itemAt(plan.controllers, i).name, from)),
    notes,
  };
}

/** The day after the last one of which any log tells. */
function lastDay({ offsets, from }: ReviewInput, stories: readonly (Story | undefined)[]): CivilDay {
  const read = stories.flatMap((story) => (story ? [dayAt(offsets, story.until) + 1] : []));
  return civilDay(Math.max(from, ...read));
}

function allOutcomes(input: ReviewInput): ReadonlyMap<string, VisitOutcome> {
  const { plan, told, corrections, offsets } = input;
  const merged = new Map<string, VisitOutcome>();
  const dayOf = (utc: number): CivilDay => dayAt(offsets, utc);
  for (const [controller, one] of told.entries()) {
    for (const [key, outcome] of outcomesOf(plan, controller, one.records, dayOf)) merged.set(key, outcome);
  }
  const undone = [
    ...told.flatMap((one, controller) => takenBack(plan, controller, one.records, dayOf)),
    ...corrections
      .filter((one) => one.outcome === 'undone')
      .map((one) => visitKey(one.zone, one.kind, one.dueDay)),
  ];
  const over = input.visits.filter((visit) => {
    const until = told[visit.controller]?.story?.until ?? 0;
    return visitEnd(plan, offsets, visit) < until;
  });
  return missedWhereTakenBack(correct(merged, corrections), new Set(undone), over);
}

function standingOf(
  day: ZoneDay,
  stories: readonly (Story | undefined)[],
  light: PlanLight,
  offsets: UtcOffsets,
): DayStanding {
  const begin = firstInstant(offsets, day.day, 0);
  const end = firstInstant(offsets, day.day + 1, 0);
  const order: readonly DayStanding[] = ['unexplained', 'unknown', 'estimated', 'open', 'part', 'proved'];
  const mine = light.controllers(day.zone, day.day).map((index) => stories[index]);
  const all = mine.map((story) => (story ? storyStanding(story, begin, end) : 'open'));
  return order.find((standing) => all.includes(standing)) ?? 'proved';
}

/** How far one controller's log proves a stretch. */
function storyStanding(story: Story, begin: number, end: number): DayStanding {
  const inside = (from: number, until: number): boolean => from < end - 60 && until > begin + 60;
  const proofs = story.proofs.filter((one) => inside(one.from, one.until));
  if (proofs.some((one) => one.result === 'unexplained')) return 'unexplained';
  if (unknownSpans(story).some((hole) => inside(hole.from, hole.until))) return 'unknown';
  if (isUnknown(story, begin, end) || (story.blindBefore && begin < story.from)) return 'unknown';
  if (story.estimated.some((span) => span.until === undefined && span.from < end)) return 'estimated';
  if (story.until < end) return 'open';
  const whole = proofs.some(
    (one) => one.result === 'proved' && one.from <= begin + 60 && one.until >= end - 60,
  );
  return whole ? 'proved' : 'part';
}

/** Levels within a stretch are not known. */
function isUnknown(story: Story, begin: number, end: number): boolean {
  const before = story.changes.findLast((change) => change.at <= begin);
  if (before && !before.levels) return true;
  return story.changes.some((change) => change.at > begin && change.at < end && !change.levels);
}

function roomDays(told: Told, controller: string, from: CivilDay, until: CivilDay): RoomDay[] {
  return told.records.flatMap((record) => {
    if (record.type !== 'proof' || record.min === NO_TEMPERATURE) return [];
    if (record.day < from || record.day >= until) return [];
    const { day, min, mean, max, outsideMinutes } = record;
    return [{ day, controller, min: min / 2, mean: mean / 2, max: max / 2, outsideMinutes }];
  });
}

function reviewedController(told: Told, name: string, from: CivilDay): ReviewedController {
  const proofs = told.records.flatMap((record) =>
    record.type === 'proof' && record.day >= from ? [record] : [],
  );
  return {
    name,
    identities: told.identities,
    readUntil: told.story?.until,
    drift: clockDrift(
      told.connections,
      (told.story?.settings ?? []).map((setting) => setting.at),
    ),
    operations: told.story?.operations ?? [],
    resets: proofs.reduce((sum, proof) => sum + proof.resets, 0),
  };
}

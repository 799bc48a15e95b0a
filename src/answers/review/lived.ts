/**
 * What really happened, as the bands of the weeks show it: power cuts, bags
 * culled and harvested, visits missed, days with other light than planned.
 *
 * Always holds: the facts and words are the review's and the grow book's; plain
 * data only, zones by their names.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { type UtcOffsets, wallClock } from '../../../compiler/plan/utc-offsets.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import type { Note } from '../book/note.ts';
import { noteAbout, noteWords } from '../book/words.ts';
import { differs } from '../simulate/weeks.ts';
import type { Incident } from './incidents.ts';
import type { Review } from './review.ts';
import { incidentLines, type Naming } from './words.ts';

/** Something that happened; without a zone it is about all that a controller lights. */
export interface Happened {
  readonly kind: 'outage' | 'cull' | 'harvest' | 'missed';
  readonly zone: string | undefined;
  readonly day: CivilDay;
  /** Days into the day at which it began, and how many it lasted. */
  readonly from: number;
  readonly days: number;
  readonly words: string;
}

export interface LivedWeeks {
  /** The first day that is not told of any more. */
  readonly until: CivilDay;
  readonly happened: readonly Happened[];
  /** Days with other light than planned, minutes. */
  readonly others: readonly {
    readonly zone: string;
    readonly day: CivilDay;
    readonly asked: number;
    readonly lit: number;
    /** Of `lit`, what came at other hours than asked and was missing in these. */
    readonly astray: number;
  }[];
}

/** The weeks as they were lived. */
export function livedWeeks(plan: ResolvedPlan, review: Review, naming: Naming): LivedWeeks {
  const nameOf = (zone: number): string => itemAt(plan.zones, zone).name;
  return {
    until: review.until,
    happened: [
      ...review.incidents.flatMap((one) => happenedOf(one, naming)),
      ...review.notes.flatMap((note) => enteredOf(note, plan)),
    ].sort((a, b) => a.day + a.from - (b.day + b.from)),
    others: review.days.flatMap(({ zone, day, planned, delivered, extra, unknown, unread }) => {
      const [asked, lit] = [planned * 60, (delivered + extra) * 60];
      const light = { asked, lit, astray: Math.max(0, Math.min(asked, lit) - delivered * 60) };
      // What nobody knows, and what was not read yet, is no difference.
      return unknown > 0 || unread > 0 || !differs(light) ? [] : [{ zone: nameOf(zone), day, ...light }];
    }),
  };
}

function happenedOf(incident: Incident, naming: Naming): Happened[] {
  const words = incidentLines([incident], naming)[0]?.words.trim() ?? '';
  if (incident.kind === 'outage') {
    const from = incident.from ?? incident.until;
    return [{ ...placed(from, incident.until, naming.offsets), kind: 'outage', zone: undefined, words }];
  }
  if (incident.kind !== 'visit' || incident.answer !== 'missed') return [];
  return [
    { ...placed(incident.at, incident.at, naming.offsets), kind: 'missed', zone: incident.zone, words },
  ];
}

/** Day, share of it and length in days of a stretch of true time. */
function placed(from: number, until: number, offsets: UtcOffsets) {
  const { day, minute } = wallClock(offsets, utcSeconds(Math.round(from)));
  return { day: civilDay(day), from: minute / 1440, days: (until - from) / 86_400 };
}

function enteredOf(note: Note, { units }: ResolvedPlan): Happened[] {
  const { kind, day, zone } = note;
  if (kind !== 'cull' && kind !== 'harvest') return [];
  const words = `${noteAbout(note)}: ${noteWords(note, units)}`;
  return [{ kind, zone: zone === '' ? undefined : zone, day, from: 0.5, days: 0, words }];
}

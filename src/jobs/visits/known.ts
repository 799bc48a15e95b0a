/** What the archive knows of a plan's visits; empty where no archive was made yet. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import type { Note } from '../../answers/book/note.ts';
import { dayAt } from '../../answers/review/incidents.ts';
import { correct, outcomesOf, type VisitOutcome } from '../../answers/visits/outcomes.ts';
import { readCorrections } from '../../archive/corrections.ts';
import { readNotes } from '../../archive/notes.ts';
import { type Archive, archiveName, lookInArchive } from '../../archive/open.ts';
import { controllersOf, firstSequenceFrom, readRecords } from '../../archive/read.ts';
import { type ArchiveToRead, isArchiveThere } from '../archive.ts';
import { type Standing, standings } from '../standing.ts';

export interface KnownOfVisits {
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
  readonly notes: readonly Note[];
  /** The first day of which it is known what was done; undefined where nothing was read or told yet. */
  readonly since: CivilDay | undefined;
  /** Where the controllers stand that the archive knows. */
  readonly standings: readonly Standing[];
}

/** A visit may be answered this many days before it is due. */
const EARLY_DAYS = 8;

/** Outcomes are looked up so far back that the visit before the last of each kind is among them. */
function daysBack(visits: readonly VisitOccurrence[]): number {
  return EARLY_DAYS + visits.reduce((most, { interval, days }) => Math.max(most, 2 * interval + days), 0);
}

/** Outcomes from a little before `from` on, the grow book, and where the controllers stand. */
export async function knownOfVisits(
  planPath: string,
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  { place, name }: ArchiveToRead,
  from: CivilDay,
): Promise<KnownOfVisits> {
  if (!isArchiveThere(place)) return { outcomes: new Map(), notes: [], since: undefined, standings: [] };
  return lookInArchive(place, Date.now(), async (archive) => ({
    ...(await outcomesIn(archive, plan, name, civilDay(from - daysBack(visits)), from)),
    notes: await readNotes(archive, name),
    standings: await standings(planPath, plan, visits, archive, name, from),
  }));
}

async function outcomesIn(
  archive: Archive,
  plan: ResolvedPlan,
  name: string,
  back: CivilDay,
  from: CivilDay,
): Promise<Pick<KnownOfVisits, 'outcomes' | 'since'>> {
  const known = await controllersOf(archive);
  const now = utcFromUnixMs(Date.now());
  const until = utcSeconds(Math.max(now, from * 86_400) + 400 * 86_400);
  const offsets = offsetsFor(plan.timezone, utcSeconds((back - 2) * 86_400), until);
  const merged = new Map<string, VisitOutcome>();
  const heard: CivilDay[] = [];
  for (const [index, controller] of plan.controllers.entries()) {
    for (const { identity } of known.filter((one) => one.name === archiveName(name, controller.name))) {
      const fromSequence = await firstSequenceFrom(archive, identity, back);
      if (fromSequence === undefined) continue;
      const records = [];
      for await (const record of readRecords(archive, identity, { fromSequence })) records.push(record);
      const first = records[0];
      if (first)
        heard.push(first.type === 'light' || first.type === 'proof' ? first.day : dayAt(offsets, first.time));
      for (const [key, outcome] of outcomesOf(plan, index, records, (utc) => dayAt(offsets, utc))) {
        merged.set(key, outcome);
      }
    }
  }
  const corrections = await readCorrections(archive, name, plan);
  const told = [...heard, ...corrections.map(({ dueDay }) => dueDay)];
  const since = told.length === 0 ? undefined : civilDay(Math.max(back, Math.min(...told)));
  return { outcomes: correct(merged, corrections), since };
}

/** What the archive knows of a plan's visits, for commands; empty where no archive was made yet. */

import { existsSync } from 'node:fs';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { offsetsFor } from '../../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../../compiler/timeline/visit.ts';
import { utcFromUnixMs } from '../../../../shared/civil.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../../shared/units.ts';
import type { Note } from '../../../answers/book/note.ts';
import { dayAt } from '../../../answers/review/incidents.ts';
import { correct, outcomesOf, type VisitOutcome } from '../../../answers/visits/outcomes.ts';
import { readCorrections } from '../../../archive/corrections.ts';
import { readNotes } from '../../../archive/notes.ts';
import { type Archive, archiveName, withArchive } from '../../../archive/open.ts';
import { controllersOf, firstSequenceFrom, readRecords } from '../../../archive/read.ts';
import type { ArchiveToRead } from '../../options/archive.ts';
import { type Standing, standings } from '../../options/standing.ts';

export interface KnownOfVisits {
  readonly outcomes: ReadonlyMap<string, VisitOutcome>;
  readonly notes: readonly Note[];
  /** Where the controllers stand that the archive knows. */
  readonly standings: readonly Standing[];
}

/** Outcomes are looked up this many days back: a visit may be answered a week early. */
const BACK_DAYS = 10;

/** Outcomes from a little before `from` on, the grow book, and where the controllers stand. */
export async function knownOfVisits(
  planPath: string,
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  { place, name }: ArchiveToRead,
  from: CivilDay,
): Promise<KnownOfVisits> {
  if (!place.includes('://') && !existsSync(place)) return { outcomes: new Map(), notes: [], standings: [] };
  return withArchive(place, Date.now(), async (archive) => ({
    outcomes: await outcomesIn(archive, plan, name, from),
    notes: await readNotes(archive, name),
    standings: await standings(planPath, plan, visits, archive, name, from),
  }));
}

async function outcomesIn(
  archive: Archive,
  plan: ResolvedPlan,
  name: string,
  from: CivilDay,
): Promise<Map<string, VisitOutcome>> {
  const known = await controllersOf(archive);
  const back = civilDay(from - BACK_DAYS);
  const now = utcFromUnixMs(Date.now());
  const until = utcSeconds(Math.max(now, from * 86_400) + 400 * 86_400);
  const offsets = offsetsFor(plan.timezone, utcSeconds((back - 2) * 86_400), until);
  const merged = new Map<string, VisitOutcome>();
  for (const [index, controller] of plan.controllers.entries()) {
    for (const { identity } of known.filter((one) => one.name === archiveName(name, controller.name))) {
      const fromSequence = await firstSequenceFrom(archive, identity, back);
      if (fromSequence === undefined) continue;
      const records = [];
      for await (const record of readRecords(archive, identity, { fromSequence })) records.push(record);
      for (const [key, outcome] of outcomesOf(plan, index, records, (utc) => dayAt(offsets, utc))) {
        merged.set(key, outcome);
      }
    }
  }
  return correct(merged, await readCorrections(archive, name, plan));
}

/** The growth that was measured in the zones of a plan, for the likely lean that the desk draws. */

import { type ZoneRate, zoneRates } from '../../answers/crop/zone-rates.ts';
import { type ArchiveOptions, archiveToRead, isArchiveThere } from '../../jobs/archive.ts';
import { notesIn } from '../../jobs/book/of-plan.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';

/** The rates by the grow book of the plan in the file `path`; none where there is none. */
export async function ratesOf(path: string, options: ArchiveOptions): Promise<readonly ZoneRate[]> {
  const plan = readPlanFile(path);
  const where = await archiveToRead(path, options);
  return isArchiveThere(where.place) ? zoneRates(plan, await notesIn(where, options)) : [];
}

/**
 * Keeps the table that is about to be flashed in the run archive, so that every
 * day can be replayed with the table that ran on it.
 *
 * Always holds: a flash is never held up by its archive; what could not be kept
 * is said, and the next `log` keeps the table that runs then.
 */

import { newestSequence, rememberController } from '../../../archive/append.ts';
import { rememberTable } from '../../../archive/flashed.ts';
import { archiveName, withArchive } from '../../../archive/open.ts';
import { type ArchiveOptions, archiveOf } from '../../options/archive.ts';
import type { PlanSource } from '../../plan-file.ts';
import { remark } from '../../terminal.ts';

/**
 * Keeps a table and the very text it was compiled from under the controller's identity; `nowMs` is the host's
 * time there. Gives the newest sequence number of its log that the archive has; 0: none.
 */
export async function keepTable(
  { path, bytes: plan }: PlanSource,
  options: ArchiveOptions,
  controller: string,
  identity: number,
  bytes: Uint8Array,
  nowMs: number,
): Promise<number> {
  const { place, name } = archiveOf(path, options);
  const planText = Buffer.from(plan).toString('utf8');
  try {
    return await withArchive(place, nowMs, async (archive) => {
      await rememberController(archive, identity, archiveName(name, controller), nowMs);
      await rememberTable(archive, identity, bytes, nowMs, planText);
      return newestSequence(archive, identity);
    });
  } catch (error) {
    // Whatever it was: the light of the weeks to come must not hang on it.
    const why = error instanceof Error ? error.message : String(error);
    remark(`The table was not kept in the archive: ${why} The next \`log\` does it.`);
    return 0;
  }
}

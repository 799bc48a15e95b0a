/**
 * Keeps the table that is about to be flashed in the run archive, so that every
 * day can be replayed with the table that ran on it.
 *
 * Always holds: a flash is never held up by its archive; what could not be kept
 * is said, and the next `log` keeps the table that runs then.
 */

import { randomUUID } from 'node:crypto';
import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import { sealedEntries } from '../../answers/prep/kept.ts';
import { newestSequence, rememberController } from '../../archive/append.ts';
import { rememberFlash, rememberTable } from '../../archive/flashed.ts';
import { readNotes, writeNotes } from '../../archive/notes.ts';
import { type Archive, archiveName, withArchive } from '../../archive/open.ts';
import { type ArchiveOptions, archiveOf } from '../archive.ts';
import { beginPracticeBook } from '../book/practice-book.ts';
import { face } from '../face.ts';
import { boardsById, type PlanSource } from '../plan-file.ts';

/** What the archive had when the table was kept in it. */
export interface KeptTable {
  /** Newest sequence number of the controller's log that it has; 0: none. */
  readonly newest: number;
  /** Keeps that the flash came to its end. */
  readonly flashed: (identity: number, crc: number, nowMs: number) => Promise<void>;
}

/**
 * Keeps a table and the very text it was compiled from under the controller's identity; `nowMs` is the host's
 * time there.
 */
export async function keepTable(
  { path, bytes: plan }: PlanSource,
  options: ArchiveOptions,
  controller: string,
  identity: number,
  bytes: Uint8Array,
  nowMs: number,
): Promise<KeptTable> {
  const { place, name } = archiveOf(path, options);
  const planText = Buffer.from(plan).toString('utf8');
  try {
    await beginPracticeBook(path, options, nowMs);
    const newest = await withArchive(place, nowMs, async (archive) => {
      await rememberController(archive, identity, archiveName(name, controller), nowMs);
      await rememberTable(archive, identity, bytes, nowMs, planText);
      await keepSealed(archive, name, plan, nowMs);
      return newestSequence(archive, identity);
    });
    return { newest, flashed: (...flash) => keepFlash(place, ...flash) };
  } catch (error) {
    // Whatever it was: the light of the weeks to come must not hang on it.
    face.remark(`The table was not kept in the archive: ${wordsOf(error)} The next \`log\` does it.`);
    return { newest: 0, flashed: async () => undefined };
  }
}

/** What was sealed by now is kept before the plan can change. */
async function keepSealed(archive: Archive, name: string, text: Uint8Array, nowMs: number): Promise<void> {
  const { plan } = readPlan(text, { boards: boardsById() });
  if (!plan) return;
  const day = civilDayAt(plan.timezone, utcFromUnixMs(nowMs));
  const notes = await readNotes(archive, name);
  await writeNotes(archive, sealedEntries({ plan, name, day, nowMs, newId: randomUUID }, notes));
}

async function keepFlash(place: string, identity: number, crc: number, hostMs: number): Promise<void> {
  try {
    await withArchive(place, hostMs, (archive) => rememberFlash(archive, identity, { crc, hostMs }));
  } catch (error) {
    face.remark(
      `The archive does not know yet that this table runs: ${wordsOf(error)} The next \`log\` tells it.`,
    );
  }
}

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

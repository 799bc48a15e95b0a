/**
 * What a controller is doing now, and how it stands against its plan and the
 * archive beside it.
 */

import { existsSync } from 'node:fs';
import { decodeTable } from '../../shared/table-decode.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import type { Status } from '../answers/status/status.ts';
import type { AgainstPlan, StatusAnswer } from '../answers/status/text.ts';
import type { KnownBoard } from '../archive/known.ts';
import type { Controller } from '../link/controller.ts';
import { type ArchiveOptions, archiveOf } from './archive.ts';
import { face } from './face.ts';
import { readPlanFile } from './plan-file.ts';

/** Which controller of which plan it is; without a plan, all undefined. */
export interface InPlanFile {
  readonly path: string | undefined;
  readonly name: string | undefined;
  /** Index into the plan's controllers. */
  readonly index: number | undefined;
}

/** Asks a controller, once its outputs have come back after a restart. */
export async function statusOf(
  controller: Controller,
  { path, name, index }: InPlanFile,
  options: ArchiveOptions,
): Promise<StatusAnswer> {
  const status = await settledStatus(controller);
  const host = controller.pace.now();
  const bytes = await controller.readRunningTable();
  const decoded = bytes && decodeTable(bytes);
  const plan =
    path === undefined || name === undefined || index === undefined
      ? undefined
      : await againstPlan(path, options, { name, index, status, bytes, now: host.seconds });
  const table = decoded?.ok ? decoded.table : undefined;
  const { board, revision, unit, port } = controller;
  return { status, board, revision, unit, path: port.path, host, table, ...(plan ? { plan } : {}) };
}

interface Seen {
  readonly name: string;
  readonly index: number;
  readonly status: Status;
  /** The table that runs. */
  readonly bytes: Uint8Array | undefined;
  readonly now: UtcSeconds;
}

/** The controller against its plan, and against the archive beside it where there is one. */
async function againstPlan(path: string, options: ArchiveOptions, seen: Seen): Promise<AgainstPlan> {
  const { offsetsFor } = await import('../../compiler/plan/utc-offsets.ts');
  const { behindPlan } = await import('./behind.ts');
  const { offsetsAround, civilDayAt } = await import('../../compiler/plan/place-time.ts');
  const { visitOccurrences } = await import('../../compiler/timeline/visits.ts');
  const { remindersOnBoard } = await import('../answers/visits/on-board.ts');
  const plan = readPlanFile(path);
  const { timezone } = plan;
  const { initialQuarters: quarters } = offsetsFor(timezone, seen.now, utcSeconds(seen.now + 1));
  const board = await boardInArchive(path, options, seen);
  const flashed = board?.tables.find((one) => one.crc === seen.status.running?.crc);
  const behind =
    seen.bytes && (await behindPlan(path, { controller: seen.index, bytes: seen.bytes, flashed }, seen.now));
  const today = civilDayAt(timezone, seen.now);
  const offsets = offsetsAround(timezone, seen.now);
  const remindersUntil =
    seen.bytes && remindersOnBoard(seen.bytes, visitOccurrences(plan), seen.index, offsets, today);
  return {
    quarters,
    behind,
    remindersUntil,
    unread: board && Math.max(0, seen.status.logNewest - board.newest),
  };
}

async function boardInArchive(
  path: string,
  options: ArchiveOptions,
  seen: Seen,
): Promise<KnownBoard | undefined> {
  const { place, name } = archiveOf(path, options);
  if (!existsSync(place)) return undefined;
  const { withArchive } = await import('../archive/open.ts');
  const { knownBoards } = await import('../archive/known.ts');
  const boards = await withArchive(place, Date.now(), (archive) => knownBoards(archive, name, seen.name));
  return boards.find((one) => one.identity === seen.status.identity);
}

/** Outputs wait up to 9 s after a restart, which opening the port may be. */
const WAIT_LIMIT_MS = 12_000;
const LOOK_EVERY_MS = 500;

/** The status once the outputs have come back after the restart: what is lit before says nothing. */
async function settledStatus(controller: Controller): Promise<Status> {
  let status = await controller.status();
  if (status.state.starting && !controller.port.virtual) {
    face.remark('Opening the port restarted the controller; waiting a few seconds until its lamps are back.');
  }
  for (let waited = 0; status.state.starting && waited < WAIT_LIMIT_MS; waited += LOOK_EVERY_MS) {
    await controller.pace.wait(LOOK_EVERY_MS);
    status = await controller.status();
  }
  return status;
}

/**
 * Reading a controller's log into the archive: only what is new, each record
 * checked, the clock noted.
 *
 * Always holds: a reading is added whole or not at all; a reading that was
 * broken off is made again by the next one, as long as the controller's ring
 * has not wrapped.
 */

import { unixMsFromUtc } from '../../shared/civil.ts';
import { Failure } from '../failure.ts';
import type { Controller } from '../link/controller.ts';
import { type LogReading, readLog } from '../link/read-log.ts';
import type { Status } from '../link/status.ts';
import { type Appended, appendRecords, newestSequence, rememberController } from './append.ts';
import { rememberConnection } from './connections.ts';
import { rememberTable } from './flashed.ts';
import { type Archive, archiveName } from './open.ts';

/** Which controller of which plan it is, when a plan was named. */
export interface InPlan {
  readonly plan: string;
  readonly controller: string;
}

export interface Kept {
  readonly reading: LogReading;
  readonly appended: Appended;
  readonly status: Status;
  /** Seconds by which the controller's clock is ahead of the host's. */
  readonly ahead: number;
}

/** Reads what the archive does not have yet, and adds it. Throws Failure for a controller without identity. */
export async function readIntoArchive(
  archive: Archive,
  controller: Controller,
  inPlan: InPlan | undefined,
  options: { readonly setClock: boolean; readonly onPart?: (part: number) => void },
): Promise<Kept> {
  const status = await controller.status();
  const hostMs = hostNow(controller);
  const { identity } = status;
  if (identity === 0) throw withoutIdentity();
  const since = await newestSequence(archive, identity);
  const reading = await readLog(controller, since, options.onPart);
  const appended = await appendRecords(archive, identity, rawOf(reading), hostMs);
  if (inPlan)
    await rememberController(archive, identity, archiveName(inPlan.plan, inPlan.controller), hostMs);
  await keepRunningTable(archive, controller, identity, hostMs);
  await rememberConnection(archive, identity, {
    ...{ hostMs, controller: status.time.seconds, sub: status.time.sub },
    ...{ known: status.time.known, estimated: status.time.estimated },
    ...{ setAfter: options.setClock, newest: reading.newest },
  });
  if (options.setClock) await controller.setClock();
  const ahead = (unixMsFromUtc(status.time.seconds) - hostMs) / 1000 + status.time.sub / 256;
  return { reading, appended, status, ahead };
}

function withoutIdentity(): Failure {
  return new Failure(
    'link',
    'This controller was never flashed: it has no identity, and its log is not kept.',
    {
      hint: 'Flash it first, or leave --archive and --plan away to look at its log.',
      reason: 'no identity',
    },
  );
}

function hostNow(controller: Controller): number {
  const { seconds, sub } = controller.pace.now();
  return unixMsFromUtc(seconds) + Math.round((sub * 1000) / 256);
}

function rawOf(reading: LogReading): Uint8Array[] {
  return reading.records.map((one) => one.raw);
}

/** A table that another computer flashed is kept too, as soon as it is met. */
async function keepRunningTable(
  archive: Archive,
  controller: Controller,
  identity: number,
  nowMs: number,
): Promise<void> {
  const bytes = await controller.readRunningTable();
  if (bytes) await rememberTable(archive, identity, bytes, nowMs);
}

/**
 * Reading a controller's log into the archive: only what is new, each record
 * checked, the clock noted.
 *
 * Always holds: a reading is added whole or not at all; a reading that was
 * broken off is made again by the next one, as long as the controller's ring
 * has not wrapped; the last records kept are read again and compared, so that
 * another board's log, or that of a new memory, is never added to a history.
 */

import { unixMsFromUtc } from '../../shared/civil.ts';
import { FAULT } from '../../shared/log.ts';
import { RECORDS_PER_BLOCK } from '../../shared/registers.ts';
import type { LogReading } from '../answers/log/reading.ts';
import type { Status } from '../answers/status/status.ts';
import { Failure } from '../failure.ts';
import type { Controller } from '../link/controller.ts';
import { LinkFailure } from '../link/failure.ts';
import { newIdentity } from '../link/identity.ts';
import { readLog } from '../link/read-log.ts';
import { type Appended, anotherLog, appendRecords, newestSequence, rememberController } from './append.ts';
import { rememberConnection } from './connections.ts';
import { flashedTables, lastFlash, rememberFlash, rememberTable } from './flashed.ts';
import { type Archive, archiveName } from './open.ts';
import { refuseStranger } from './strangers.ts';

/** How many of the last records kept are read again: a block of the link, so that little time goes. */
const RECORDS_COMPARED = RECORDS_PER_BLOCK;

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

/** Reads what the archive does not have yet, and adds it. Throws Failure for a controller without identity, or another than the archive knows. */
export async function readIntoArchive(
  archive: Archive,
  controller: Controller,
  inPlan: InPlan | undefined,
  options: {
    readonly setClock: boolean;
    readonly onPart?: (part: number) => void;
    /** The board takes the place of the one that had its name before. */
    readonly spare?: boolean;
  },
): Promise<Kept> {
  const status = await controller.status();
  const hostMs = hostNow(controller);
  const { identity } = status;
  if (identity === 0) throw withoutIdentity();
  if (inPlan) await refuseStranger(archive, { ...inPlan, identity, spare: options.spare === true });
  const kept = await newestSequence(archive, identity);
  if (status.logNewest < kept) throw endsEarly(status, kept);
  const whole = await readLog(controller, Math.max(0, kept - RECORDS_COMPARED), options.onPart);
  const appended = await appendRecords(archive, identity, rawOf(whole), hostMs);
  const reading = after(whole, kept);
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

/** Nothing but what the archive did not have. */
function after(reading: LogReading, kept: number): LogReading {
  return {
    ...reading,
    records: reading.records.filter(({ sequence }) => sequence > kept),
    missing: reading.missing.filter((sequence) => sequence > kept),
  };
}

function endsEarly({ identity, logNewest, faults }: Status, kept: number): Failure {
  if (faults.includes(FAULT.logMissing)) return logSilent();
  const why = logNewest === 0 ? 'it is empty' : `it ends with record ${logNewest}`;
  return anotherLog(identity, `${why}, and record ${kept} is kept already`);
}

function logSilent(): LinkFailure {
  return new LinkFailure(
    'refused',
    "The controller's log memory does not answer: nothing was read.",
    'It sits beside the battery clock: check that the module is seated. What ran goes on without it.',
  );
}

/**
 * Gives the controller an identity number of its own, so that its log begins a
 * history apart. The tables known of it are known of the new number too.
 */
export async function beginHistory(archive: Archive, controller: Controller): Promise<number> {
  const { identity } = await controller.status();
  const fresh = newIdentity();
  for (const { bytes, storedMs, planText } of await flashedTables(archive, identity)) {
    await rememberTable(archive, fresh, bytes, storedMs, planText);
  }
  const flash = await lastFlash(archive, identity);
  if (flash) await rememberFlash(archive, fresh, flash);
  await controller.setIdentity(fresh);
  return fresh;
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

/** Now by the host's clock, ms since 1970; of a virtual controller, by its world's. */
export function hostNow(controller: Controller): number {
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

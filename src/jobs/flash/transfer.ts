/**
 * Puts a table on a controller: upload, trial, read back, confirm; and finds
 * out what runs when that breaks off.
 *
 * Always holds: a table is confirmed only after every byte of it was read back
 * right; when this ends in any way, it can say which table runs, or that it
 * could not find out.
 */

import { CONFIRMED, MARK } from '../../../shared/storage.ts';
import { tableName } from '../../answers/changes/text.ts';
import type { Status } from '../../answers/status/status.ts';
import { Failure } from '../../failure.ts';
import { Controller } from '../../link/controller.ts';
import { ExceptionReply, LinkFailure } from '../../link/failure.ts';
import { Stopped } from '../halt.ts';

/** What runs after a flash: `new` on trial only until it is confirmed. */
export type Outcome = 'new' | 'new on trial' | 'old' | 'none' | 'unknown';

export interface Transfer {
  readonly controller: Controller;
  readonly table: Uint8Array;
  readonly onPart: (part: number) => void;
  /** The table runs on trial. */
  readonly onTrial?: () => void;
  /** Remarks on the way, for the grower. */
  readonly onRemark: (words: string) => void;
}

/** Where a transfer stands, so that it can be taken up again. */
interface Progress {
  session: number;
  confirming: boolean;
}

/** Puts the table on and confirms it. Returns the controller (a new one after a break) and its status. */
export async function transfer(work: Transfer): Promise<{ controller: Controller; status: Status }> {
  const at: Progress = { session: 0, confirming: false };
  const crc = sealOf(work.table);
  try {
    return { controller: work.controller, status: await putOn(work, crc, at) };
  } catch (error) {
    if (error instanceof Stopped) throw await stopped(work.controller, crc, at, error);
    if (!(error instanceof LinkFailure)) throw error;
    return await takeUp(work, crc, at, error);
  }
}

/** Stopped on the way: what was begun is given up, and the table that runs is named. */
async function stopped(
  controller: Controller,
  crc: number,
  at: Progress,
  { exitCode, reason }: Stopped,
): Promise<Failure> {
  const broken = (runs: Outcome, words: string): Failure =>
    new Failure('link', `The flash was stopped. ${words}`, { exitCode, reason, details: { runs } });
  try {
    let status = await controller.status();
    if (status.uploadSession !== 0) {
      await controller.giveUp(status.uploadSession);
      status = await controller.status();
    }
    return broken(outcomeOf(status, crc), runsWords(status, crc));
  } catch {
    return broken('unknown', unknownWords(at));
  }
}

/** The CRC-32 that seals a table: its last four bytes. */
export function sealOf(table: Uint8Array): number {
  return new DataView(table.buffer, table.byteOffset, table.length).getUint32(table.length - 4, true);
}

async function putOn(
  { controller, table, onPart, onTrial, onRemark }: Transfer,
  crc: number,
  at: Progress,
): Promise<Status> {
  await endTrial(controller, onRemark);
  at.session = await controller.upload(table, onPart);
  await startTrial(controller, at.session, table.length, crc);
  onTrial?.();
  return confirmTrial(controller, table, crc, at);
}

/** A trial that a broken-off flash left is in the way of the next one: given up. */
async function endTrial(controller: Controller, onRemark: Transfer['onRemark']): Promise<void> {
  const { state, uploadSession } = await controller.status();
  if (!state.trial) return;
  onRemark('A table from an earlier flash that broke off is still on trial; giving it up.');
  await controller.giveUp(uploadSession);
}

/** Commits. After silence the status tells whether it was done. */
async function startTrial(
  controller: Controller,
  session: number,
  length: number,
  crc: number,
): Promise<void> {
  try {
    await controller.commit(session, length, crc);
  } catch (error) {
    if (!(error instanceof LinkFailure) || error.reason !== 'no answer') throw error;
    const { state, running } = await controller.status();
    if (!state.trial || running?.crc !== crc) await controller.commit(session, length, crc);
  }
}

/** Reads the trial's table back and confirms it. */
async function confirmTrial(
  controller: Controller,
  table: Uint8Array,
  crc: number,
  at: Progress,
): Promise<Status> {
  const { running } = await controller.status();
  if (running === undefined || running.crc !== crc) throw notVerified();
  const { bytes } = await controller.readSlot(running.slot);
  if (!table.every((byte, i) => bytes[i] === byte)) {
    await controller.giveUp(at.session);
    throw notVerified();
  }
  at.confirming = true;
  await controller.confirm(at.session, running.sequence, crc);
  const { marks } = await controller.readSlot(running.slot);
  const status = await controller.status();
  if (marks[MARK.confirm] !== CONFIRMED || status.state.trial || status.running?.crc !== crc)
    throw notVerified();
  return status;
}

function notVerified(): LinkFailure {
  return new LinkFailure(
    'not verified',
    'The table read back from the controller is not the one that was sent.',
    'Flash again. If it happens twice, the memory of the controller is worn or its supply is weak.',
  );
}

/** After a break: connects again, finds out what runs, confirms a trial that still runs. */
async function takeUp(
  { controller: before, table, onRemark }: Transfer,
  crc: number,
  at: Progress,
  cause: LinkFailure,
): Promise<{ controller: Controller; status: Status }> {
  onRemark(`${cause.message} Connecting again to see which table runs.`);
  const { port, unit } = before;
  await before.close().catch(() => undefined);
  let controller: Controller;
  try {
    controller = await Controller.open(port, unit);
  } catch (error) {
    if (error instanceof Stopped) throw await stopped(before, crc, at, error);
    throw brokenOff(cause, 'unknown', unknownWords(at));
  }
  try {
    const status = await tryConfirm(controller, table, crc, at);
    if (outcomeOf(status, crc) === 'new') return { controller, status };
    throw brokenOff(cause, outcomeOf(status, crc), runsWords(status, crc));
  } catch (error) {
    const told = error instanceof Stopped ? await stopped(controller, crc, at, error) : error;
    await controller.close().catch(() => undefined);
    if (told instanceof Failure && told.details) throw told;
    throw brokenOff(cause, 'unknown', unknownWords(at));
  }
}

/** Confirms the trial if it still runs; the status then. */
async function tryConfirm(
  controller: Controller,
  table: Uint8Array,
  crc: number,
  at: Progress,
): Promise<Status> {
  const status = await controller.status();
  if (outcomeOf(status, crc) !== 'new on trial') return status;
  at.session = status.uploadSession;
  try {
    return await confirmTrial(controller, table, crc, at);
  } catch (error) {
    if (error instanceof ExceptionReply) return controller.status();
    throw error;
  }
}

function outcomeOf(status: Status, crc: number): Outcome {
  if (status.running === undefined) return 'none';
  if (status.running.crc !== crc) return 'old';
  return status.state.trial ? 'new on trial' : 'new';
}

function runsWords(status: Status, crc: number): string {
  const { running, trialLeft } = status;
  if (running === undefined) return 'No table runs: all lamps are off.';
  if (running.crc !== crc)
    return `The table from before, ${tableName(running.sequence, running.crc)}, still runs.`;
  if (!status.state.trial)
    return `The new table, ${tableName(running.sequence, running.crc)}, was confirmed and runs.`;
  return `The new table runs on trial; in ${trialLeft} s the table from before comes back by itself.`;
}

function unknownWords({ confirming }: Progress): string {
  return confirming
    ? 'The controller cannot be reached: the new table runs if the confirmation arrived, else the one from before.'
    : 'The controller cannot be reached: the table from before runs, at the latest from its next start or two minutes from now.';
}

function brokenOff(cause: LinkFailure, runs: Outcome, words: string): Failure {
  return new Failure('link', `The flash broke off. ${cause.message} ${words}`, {
    hint:
      runs === 'unknown'
        ? 'Look with `leanward status` once it answers, then flash again.'
        : 'Flash again; nothing else is needed.',
    reason: cause.reason,
    details: { runs },
  });
}

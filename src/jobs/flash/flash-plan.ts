/**
 * The flash, step by step: compile from today, look at what is on board, show
 * what changes, set the clock, transfer, report.
 *
 * Always holds: nothing is written to the controller before the changes were
 * shown and lost days were agreed to; whatever fails says which table runs.
 */

import { civilDayAt, offsetsAround } from '../../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { visitOccurrences } from '../../../compiler/timeline/visits.ts';
import { sure } from '../../../shared/assert.ts';
import { isoDate, isoInstant } from '../../../shared/civil.ts';
import { DEFAULT_UNIT } from '../../../shared/registers.ts';
import { type Changes, compareTables, lostDays } from '../../answers/changes/changes.ts';
import { litPlaces } from '../../answers/changes/lamp-zones.ts';
import { notSeen } from '../../answers/changes/seen.ts';
import { changeLines, changesJson, lostWords, tableName } from '../../answers/changes/text.ts';
import { readBy, readByWords } from '../../answers/log/ring.ts';
import type { Status } from '../../answers/status/status.ts';
import { clockAhead } from '../../answers/status/text.ts';
import { hostNow } from '../../archive/from-controller.ts';
import { Failure, usage } from '../../failure.ts';
import { Controller } from '../../link/controller.ts';
import { LinkFailure } from '../../link/failure.ts';
import { giveIdentity } from '../../link/identity.ts';
import type { Port } from '../../link/port.ts';
import { hex } from '../../words/controller.ts';
import { type Names, namesOf } from '../../words/names.ts';
import { remindersWords } from '../../words/reminders.ts';
import { checkInArchive } from '../archive.ts';
import { chooseController } from '../choose-controller.ts';
import { face } from '../face.ts';
import { Stopped } from '../halt.ts';
import { agreeOnClock } from '../host-clock.ts';
import { offerLamps } from '../lamps.ts';
import { contextOf } from '../of-plan.ts';
import {
  compilePlanSource,
  openPlan,
  type PlanSource,
  type PlanTable,
  readPlanSource,
} from '../plan-file.ts';
import { type PortOptions, withPort } from '../port.ts';
import { keepTable } from './keep-table.ts';
import { offerFirmware } from './newer-firmware.ts';
import { sealOf, transfer } from './transfer.ts';

interface Options extends PortOptions {
  readonly controller?: string;
  readonly archive?: string;
  readonly dropDays?: boolean;
  readonly spare?: boolean;
  readonly stepClock?: boolean;
  readonly yes?: boolean;
}

/** A controller's clock may be this far from the host's after it was set. */
const CLOCK_TOLERANCE_SECONDS = 1.5;

interface Job {
  readonly source: PlanSource;
  readonly plan: ResolvedPlan;
  /** Index into the plan's controllers. */
  readonly index: number;
  readonly table: PlanTable;
  readonly names: Names;
  readonly options: Options;
}

/** Flashes the plan in a file to the controller on the port that the options name. */
export async function flashPlan(path: string, options: Options): Promise<void> {
  const source = openPlan(path);
  const plan = readPlanSource(source);
  const index = chooseController(plan, options.controller);
  const context = contextOf(plan, index);
  await withPort(options, context, async (port, unit) => {
    const today = civilDayAt(plan.timezone, port.pace.now().seconds);
    const compiled = await compilePlanSource(source, today);
    const table = compiled.tables.find((one) => one.controller === index);
    if (table === undefined) throw new Error(`no table was made for controller ${index}`);
    const job = { source, plan, index, table, names: namesOf(plan, index), options };
    await flashOn(port, unit, job);
  });
}

async function flashOn(port: Port, unit: number, job: Job): Promise<void> {
  let controller = await openFor(port, unit, job);
  try {
    if (await offerFirmware(controller, port, asks(job.options) ? face.askYes : undefined))
      controller = await openFor(port, unit, job);
    const { changes, before, identity } = await makeReady(controller, job);
    const kept = await keepTable(
      job.source,
      job.options,
      job.table.name,
      identity,
      job.table.encoded.bytes,
      hostNow(controller),
    );
    const done = await transfer({
      controller,
      table: job.table.encoded.bytes,
      onPart: face.progress('Sending the table'),
      onTrial: () => face.remark('It runs on trial: read back now, and confirmed when every byte is right.'),
      onRemark: face.remark,
    });
    controller = done.controller;
    await kept.flashed(identity, sealOf(job.table.encoded.bytes), hostNow(controller));
    if (controller.unit !== job.table.unit) await controller.setUnit(job.table.unit);
    report(controller, done.status, job, changes, identity);
    if (!job.options.json) face.remark(readByLine(done.status, kept.newest, job));
    if (before.identity === 0) await offerLamps(controller, job.names, job.options);
  } finally {
    await controller.close();
  }
}

/** Opens the controller; a new one may not have the plan's unit number yet. */
async function openFor(port: Port, unit: number, { table, options }: Job): Promise<Controller> {
  try {
    return await Controller.open(port, unit);
  } catch (error) {
    const silent = error instanceof LinkFailure && error.reason === 'no answer';
    if (!silent || options.unit !== undefined || unit === DEFAULT_UNIT) throw error;
    throw new LinkFailure(
      'wrong unit',
      `No controller answers on ${port.path} as unit ${unit}, the number that the plan gives to '${table.name}'.`,
      `A new controller is unit ${DEFAULT_UNIT}. With it alone on the line, add --unit ${DEFAULT_UNIT}: the flash gives it number ${unit}.`,
    );
  }
}

/** Everything before the table is sent. What fails here leaves the table on board as it is, and says so. */
async function makeReady(
  controller: Controller,
  job: Job,
): Promise<{ changes: Changes; before: Status; identity: number }> {
  try {
    checkBoard(controller, job);
    await checkIdentity(controller, job);
    await agreeOnClock(controller, job.options);
    const { changes, before } = await lookAtChanges(controller, job);
    await agree(changes, job);
    await setClock(controller);
    return { changes, before, identity: await giveIdentity(controller) };
  } catch (error) {
    if (!(error instanceof LinkFailure || error instanceof Stopped)) throw error;
    const { message, hint, reason, exitCode } = error;
    const words = `${message} Nothing was sent: what ran before goes on.`;
    throw new Failure('link', words, { hint, reason, exitCode, details: { runs: 'old' } });
  }
}

function checkBoard({ board, port }: Controller, { table }: Job): void {
  if (board.id === table.board.id) return;
  throw new LinkFailure(
    'wrong board',
    `The controller on ${port.path} is a ${board.id}, but the plan's controller '${table.name}' is a ${table.board.id}.`,
    'Choose the right port, or change the board in the plan.',
  );
}

/** Another board than the one that the archive knows by this name is refused before anything is asked or written. */
async function checkIdentity(controller: Controller, { source, table, options }: Job): Promise<void> {
  const { identity } = await controller.status();
  // A virtual controller is begun anew whenever one likes: that is no other board.
  const anew = controller.port.virtual && identity === 0;
  const claim = { controller: table.name, identity, spare: options.spare === true || anew };
  await checkInArchive(source.path, options, claim);
}

async function lookAtChanges(
  controller: Controller,
  job: Job,
): Promise<{ changes: Changes; before: Status }> {
  const before = await controller.status();
  const now = controller.pace.now().seconds;
  const offsets = offsetsAround(job.plan.timezone, now);
  const onBoard = await controller.readRunningTable();
  return { changes: compareTables(onBoard, job.table.encoded.bytes, offsets, now), before };
}

/** Shows the changes; asks about them where someone sits, and about lost days anywhere. */
async function agree(changes: Changes, { plan, index, names, options }: Job): Promise<void> {
  const lost = lostDays(changes, litPlaces(plan, index)).flatMap((loss) => notSeen(plan, loss));
  if (!options.json) {
    face.say(changes.first ? 'The controller has no table yet. From now on:' : 'What changes from now on:');
    for (const line of changeLines(changes, names)) face.say(`  ${line}`);
  }
  if (lost.length > 0 && !options.dropDays) await agreeToLose(lostWords(lost));
  else if (asks(options) && !(await face.askYes('Put this on the controller?'))) {
    throw usage('Nothing was changed on the controller.');
  }
}

/** Somebody sits there and wants to be asked. */
const asks = ({ yes, json }: Options): boolean => face.canAsk() && !yes && !json;

async function agreeToLose(words: string): Promise<void> {
  const message = `Light would be lost that the table on board still gives:\n${words}`;
  if (face.canAsk()) {
    face.remark(message);
    if (await face.askYes('Go on all the same?')) return;
    throw usage('Nothing was changed on the controller.');
  }
  throw new Failure('usage', `${message}\nNothing was changed on the controller.`, {
    hint: 'If that is meant, add --drop-days.',
    reason: 'days lost',
  });
}

async function setClock(controller: Controller): Promise<void> {
  await controller.setClock();
  const status = await controller.status();
  const ahead = clockAhead({ status, host: controller.pace.now() });
  if (status.time.known && !status.time.estimated && Math.abs(ahead) <= CLOCK_TOLERANCE_SECONDS) return;
  throw new LinkFailure(
    'not verified',
    "The controller's clock was set but does not show the time.",
    'Its battery clock may be loose or broken.',
  );
}

/** By when the log must be read; what is on it unread counts already. */
function readByLine({ logNewest, time }: Status, newest: number, { plan, index, table }: Job): string {
  const today = civilDayAt(plan.timezone, time.seconds);
  const log = { controller: index, unread: Math.max(0, logNewest - newest), on: today };
  return readByWords(table.name, readBy(plan, visitOccurrences(plan), log), today);
}

function report(controller: Controller, status: Status, job: Job, changes: Changes, identity: number): void {
  const { table, names, options } = job;
  const { bytes } = table.encoded;
  const running = sure(status.running);
  if (options.json) {
    face.sayJson({
      controller: table.name,
      unit: controller.unit,
      board: controller.board.id,
      identity: hex(identity, 8),
      table: {
        bytes: bytes.length,
        sequence: running.sequence,
        crc: hex(running.crc, 8),
        digest: hex(running.digest, 8),
        remindersUntil: table.remindersUntil === undefined ? null : isoDate(table.remindersUntil),
      },
      clock: isoInstant(status.time.seconds),
      changes: changesJson(changes, names),
      runs: 'new',
    });
    return;
  }
  const room = table.board.memory.tableBytes;
  face.say(
    `${table.name} now runs this plan: table ${tableName(running.sequence, running.crc)}, ${bytes.length} of ${room} bytes.`,
  );
  const day = civilDayAt(job.plan.timezone, status.time.seconds);
  face.say(`Read back and confirmed on ${isoDate(day)}; its clock is set.`);
  if (table.remindersUntil !== undefined)
    face.say(`Not all visits fit: ${remindersWords(table.remindersUntil)}.`);
}

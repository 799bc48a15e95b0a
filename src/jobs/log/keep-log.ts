/**
 * `log PLAN`: reads what is new into the archive and prints it; with --follow
 * it stays and goes on reading.
 *
 * Always holds: what is printed is in the archive already.
 */

import type { LogReading } from '../../answers/log/reading.ts';
import { logJson } from '../../answers/log/records.ts';
import { ArchiveError, inWords } from '../../archive/error.ts';
import { flashedCrc, flashedTables } from '../../archive/flashed.ts';
import { beginHistory, type InPlan, type Kept, readIntoArchive } from '../../archive/from-controller.ts';
import type { Archive } from '../../archive/open.ts';
import { planName, withArchive } from '../../archive/open.ts';
import { Failure, usage } from '../../failure.ts';
import { Controller } from '../../link/controller.ts';
import { LinkFailure } from '../../link/failure.ts';
import { hex } from '../../words/controller.ts';
import { secondsWords } from '../../words/lengths.ts';
import type { Names } from '../../words/names.ts';
import { archiveOf } from '../archive.ts';
import { face } from '../face.ts';
import { agreeOnClock } from '../host-clock.ts';
import { optionalPlan } from '../of-plan.ts';
import { type PortOptions, withController } from '../port.ts';
import { missingWords, offsetsOn, printReading, printRecords } from './print.ts';

export interface KeepOptions extends PortOptions {
  readonly controller?: string;
  readonly archive?: string;
  /** True, or the seconds between two looks. */
  readonly follow?: boolean | string;
  readonly setClock?: boolean;
  readonly newHistory?: boolean;
  readonly spare?: boolean;
  readonly stepClock?: boolean;
}

/** How often a log that is followed is looked at. A day writes two records and few more. */
const FOLLOW_SECONDS = 10;
const MOST_SECONDS = 86_400;
/** A clock that is off by less is well: the host asks in whole exchanges. */
const CLOCK_WORTH_SECONDS = 5;

/** Called at each look, before the log is read. */
export type OnLook = (controller: Controller) => Promise<void>;

/** What is done with a controller that was never flashed, and so keeps no log; left out, that is refused with these words. */
export type OnBlank = (controller: Controller, words: string) => Promise<void>;

/** Reads the log of a plan's controller (or, without a plan, of any) into the archive. */
export async function keepLog(
  path: string | undefined,
  options: KeepOptions,
  last: number,
  onLook: OnLook = async () => undefined,
  onBlank?: OnBlank,
): Promise<void> {
  const { context, names, name, index } = await optionalPlan(path, options.controller);
  const beside = { path, names, index };
  const place = path === undefined ? options.archive : archiveOf(path, options).place;
  if (place === undefined) throw usage('No archive is named.', 'Name the plan, or add --archive FILE.');
  const inPlan =
    path !== undefined && name !== undefined ? { plan: planName(path), controller: name } : undefined;
  await withController(options, context, (controller) =>
    withArchive(place, Date.now(), async (archive) => {
      await onLook(controller);
      await keepFrom(controller, archive, inPlan, beside, options, last, onLook);
    }).catch(async (error: unknown) => {
      if (!onBlank || !(error instanceof Failure) || error.reason !== 'no identity') throw error;
      await onBlank(controller, error.message);
    }),
  );
}

/** What the plan beside a log tells. */
interface Beside {
  readonly path: string | undefined;
  readonly names: Names;
  /** The controller's index in the plan. */
  readonly index: number | undefined;
}

async function keepFrom(
  controller: Controller,
  archive: Archive,
  inPlan: InPlan | undefined,
  { names, index, path }: Beside,
  options: KeepOptions,
  last: number,
  onLook: OnLook,
): Promise<void> {
  const onPart = options.json ? () => undefined : face.progress('Reading the log');
  if (options.setClock) await agreeOnClock(controller, options);
  const reading = { setClock: options.setClock === true, onPart, spare: options.spare === true };
  const kept = await readIntoArchive(archive, controller, inPlan, reading).catch(async (error: unknown) => {
    if (!options.newHistory || !isContradiction(error)) throw error;
    const identity = await beginHistory(archive, controller);
    face.remark(
      `${error.message}\nFrom now on this controller is ${hex(identity, 8)}; its log is kept by that number.`,
    );
    return readIntoArchive(archive, controller, inPlan, { ...reading, spare: true });
  });
  if (options.json) {
    face.sayJson({ ...logJson(kept.reading), archive: keptJson(archive, kept) });
    return;
  }
  const offsets = await offsetsOn(controller);
  printReading(kept.reading, offsets, names, last);
  tellKept(archive, kept, options);
  if (path !== undefined && index !== undefined) await tellBehind(path, index, archive, controller);
  if (options.follow !== undefined) {
    const show = (records: LogReading['records']): void => printRecords(records, offsets, names);
    await follow(controller, archive, inPlan, show, followMs(options.follow), onLook);
  }
}

/** A plan that was changed and not flashed is told where its log is read. */
async function tellBehind(
  path: string,
  index: number,
  archive: Archive,
  controller: Controller,
): Promise<void> {
  const bytes = await controller.readRunningTable();
  if (!bytes) return;
  const { behindPlan } = await import('../behind.ts');
  const { identity } = await controller.status();
  const flashed = (await flashedTables(archive, identity)).find((one) => one.crc === flashedCrc(bytes));
  const behind = await behindPlan(path, { controller: index, bytes, flashed }, controller.pace.now().seconds);
  if (behind !== undefined) face.remark(`Note: ${behind}. leanward flash ${path} puts it on.`);
}

function isContradiction(error: unknown): error is ArchiveError {
  return error instanceof ArchiveError && error.fault === 'contradiction';
}

function keptJson(archive: Archive, { appended, ahead, status }: Kept): Readonly<Record<string, unknown>> {
  return { place: archive.place, controller: status.identity, ...appended, clockAheadSeconds: ahead };
}

function tellKept(archive: Archive, { appended, reading, status, ahead }: Kept, options: KeepOptions): void {
  const { added, newest } = appended;
  face.say(`${added === 1 ? '1 record' : `${added} records`} added to ${archive.place} (newest ${newest}).`);
  if (reading.missing.length > 0) face.remark(missingWords(reading));
  if (options.setClock) {
    face.remark("The controller's clock was set to this computer's.");
  } else if (status.time.estimated || Math.abs(ahead) > CLOCK_WORTH_SECONDS) {
    const off = secondsWords(Math.abs(ahead));
    face.remark(`The controller's clock is ${off} ${ahead < 0 ? 'behind' : 'ahead'}; --set-clock sets it.`);
  }
}

function followMs(every: boolean | string): number {
  const seconds = typeof every === 'string' ? Number(every) : FOLLOW_SECONDS;
  if (seconds >= 1 && seconds <= MOST_SECONDS) return seconds * 1000;
  throw usage(`'${every}' is not a number of seconds.`, 'Write --follow, or --follow 60.');
}

/** Goes on reading until the program is stopped; a controller or an archive that is away for a while is waited for. */
async function follow(
  controller: Controller,
  archive: Archive,
  inPlan: InPlan | undefined,
  show: (records: LogReading['records']) => void,
  everyMs: number,
  onLook: OnLook,
): Promise<void> {
  if (controller.port.virtual) {
    throw usage(
      'A virtual controller stands still between commands: there is nothing to follow.',
      'Let it run with `leanward virtual`, and follow its port.',
    );
  }
  face.remark('Following, until it is stopped.');
  let current = controller;
  let newest = -1;
  while (!face.hasGone()) {
    await current.pace.wait(everyMs);
    try {
      await onLook(current);
      const now = (await current.status()).logNewest;
      if (now === newest) continue;
      show((await readIntoArchive(archive, current, inPlan, { setClock: false })).reading.records);
      newest = now;
    } catch (cause) {
      const error = inWords(archive.place, cause);
      if (error instanceof ArchiveError && error.passes) {
        face.remark(`${error.message} Trying again.`);
        continue;
      }
      if (!(error instanceof LinkFailure)) throw error;
      face.remark(`${error.message} Trying again.`);
      current = await reopen(current, everyMs);
      newest = -1;
    }
  }
}

/** Opens the port again, as often as it takes. */
async function reopen(controller: Controller, everyMs: number): Promise<Controller> {
  const { port, unit, pace } = controller;
  await controller.close().catch(() => undefined);
  for (;;) {
    await pace.wait(everyMs);
    try {
      return await Controller.open(port, unit);
    } catch (error) {
      if (!(error instanceof LinkFailure)) throw error;
    }
  }
}

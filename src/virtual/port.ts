/**
 * A port whose far end is a virtual controller, kept in a file between commands
 * or made for this command only.
 *
 * Always holds: the controller stays powered between commands and its time
 * stands still there; it moves by --advance, by the link, and by nothing else.
 */

import { offsetsAround } from '../../compiler/plan/place-time.ts';
import type { UtcOffsets } from '../../compiler/plan/utc-offsets.ts';
import type { Device } from '../../firmware-sim/device.ts';
import { Happenings } from '../../firmware-sim/happenings.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import type { Board } from '../../shared/board.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { DEFAULT_BAUD } from '../../shared/registers.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import {
  actAgain,
  atInstant,
  keptAct,
  parseEvent,
  parseLength,
  scheduleEvents,
} from '../answers/simulate/events.ts';
import { usage } from '../failure.ts';
import { allBoards, boardById } from '../files/boards.ts';
import { lockFile } from '../files/lock.ts';
import type { Port } from '../link/port.ts';
import { timeWords } from '../words/controller.ts';
import { virtualLink } from './binding.ts';
import { readVirtualFile, writeVirtualFile } from './file.ts';
import { type DeviceKind, makeDevice, restoreDevice } from './makers.ts';

export interface VirtualOptions {
  /** Start of a new controller, such as `2026-02-16` or `2026-02-16 08:00`. */
  readonly at?: string;
  readonly board?: string;
  /** Time to let pass before the command connects, such as `7d`. */
  readonly advance?: string;
  readonly event?: readonly string[];
}

/** What the plan says about a new virtual controller. */
export interface VirtualContext {
  /** IANA time zone in which times are civil. */
  readonly timezone?: string;
  /** First sealing day: a new controller starts at its midnight. */
  readonly firstDay?: number;
  readonly board?: Board;
}

/** A virtual controller taken out of its file, or made new. */
export interface OpenedVirtual {
  readonly world: Happenings;
  readonly offsets: UtcOffsets;
  /** It has a file. */
  readonly isKept: boolean;
  /** Writes it to its file (if any). */
  save(): void;
  /** Gives the file free again. */
  release(): void;
}

const DAY = 86_400;

/** A virtual port. `rest` is what follows `virtual:` (FILE, `chip` or `chip:FILE`). */
export async function virtualPort(
  path: string,
  rest: string,
  options: VirtualOptions,
  context: VirtualContext,
  onPart: (part: number) => void = () => undefined,
): Promise<Port> {
  const opened = await openVirtual(rest, options, context);
  const { world } = opened;
  try {
    await prepare(opened, options, onPart);
  } catch (error) {
    opened.release();
    throw error;
  }
  let finished = false;
  return {
    path,
    baudRate: DEFAULT_BAUD,
    ...virtualLink(world),
    virtual: true,
    remarks: () => pendingWords(opened),
    finish: () => {
      if (finished) return;
      finished = true;
      try {
        opened.save();
      } finally {
        opened.release();
      }
    },
  };
}

/** What has not come yet, or not ended: kept with the controller's file, gone without one. */
function pendingWords({ world, offsets, isKept }: OpenedVirtual): string[] {
  const open = new Set(world.pending.filter(({ part }) => part === 0).map(({ text }) => text));
  const words = world.pending.map(({ text, at, part }) => {
    if (open.has(text) && part > 0) return [];
    const when = timeWords(at, offsets);
    if (part > 0) return [`'${text}' goes on${isKept ? ` until ${when}` : ', and did not end'}.`];
    return [
      isKept ? `Still to come on ${when}: '${text}'.` : `Not reached yet, so it did not happen: '${text}'.`,
    ];
  });
  return [...new Set(words.flat())];
}

/** How much time passes at once, µs: between two such pieces others have their turn. */
const PIECE_MICROS = 600 * 1_000_000;

/** Sets the events up and lets time pass; `onPart` is told how much of it has, 0 to 1. */
export async function prepare(
  { world, offsets }: OpenedVirtual,
  options: VirtualOptions,
  onPart: (part: number) => void = () => undefined,
): Promise<void> {
  const events = (options.event ?? []).map(parseEvent);
  world.schedule(scheduleEvents(events, world.device.utc, offsets));
  if (options.advance === undefined) return;
  const seconds = parseLength(options.advance);
  if (seconds === undefined) {
    throw usage(`'${options.advance}' is not a length of time.`, 'Write --advance 7d, or 36h, or 90min.');
  }
  const whole = seconds * 1_000_000;
  for (let passed = 0; passed < whole; passed += PIECE_MICROS) {
    world.advance(Math.min(PIECE_MICROS, whole - passed));
    onPart(Math.min(1, (passed + PIECE_MICROS) / whole));
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** Opens the file (locked until released), or makes a controller that lives for this command. */
export async function openVirtual(
  rest: string,
  options: VirtualOptions,
  context: VirtualContext,
): Promise<OpenedVirtual> {
  const chip = /^chip(?::(.*))?$/.exec(rest);
  const file = chip ? (chip[1] ?? '') : rest;
  const kind: DeviceKind = chip ? 'chip' : 'simulated';
  if (file === '') return fresh(kind, options, context);
  const release = lockFile(file);
  try {
    return await fromFile(file, kind, release, options, context);
  } catch (error) {
    release();
    throw error;
  }
}

async function fromFile(
  file: string,
  kind: DeviceKind,
  release: () => void,
  options: VirtualOptions,
  context: VirtualContext,
): Promise<OpenedVirtual> {
  const kept = readVirtualFile(file);
  if (kept === undefined) {
    const made = await fresh(kind, options, context);
    return { ...made, isKept: true, save: () => writeVirtualFile(file, made.state()), release };
  }
  if (options.at !== undefined) {
    throw usage(
      `${file} exists already and has its own time; --at is for a new one.`,
      'Let time pass with --advance.',
    );
  }
  const board = knownBoard(kept.board);
  const device = await restoreDevice(kept.image, board, utcSeconds(0), file);
  const timezone = context.timezone ?? kept.timezone;
  const world = new Happenings(device);
  world.schedule(kept.coming.flatMap((one) => actAgain(one) ?? []));
  return {
    world,
    offsets: offsetsAround(timezone, device.utc),
    isKept: true,
    save: () => writeVirtualFile(file, { board: board.id, timezone, ...stateOf(world) }),
    release,
  };
}

type Fresh = OpenedVirtual & { readonly state: () => Parameters<typeof writeVirtualFile>[1] };

async function fresh(kind: DeviceKind, options: VirtualOptions, context: VirtualContext): Promise<Fresh> {
  const timezone = context.timezone ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
  const board =
    options.board === undefined ? (context.board ?? itemAt(allBoards(), 0)) : knownBoard(options.board);
  const start = startOf(options, context, timezone);
  const device: Device = await makeDevice(kind, board, start);
  const world = new Happenings(device);
  return {
    world,
    offsets: offsetsAround(timezone, start),
    isKept: false,
    save: () => undefined,
    release: () => undefined,
    state: () => ({ board: board.id, timezone, ...stateOf(world) }),
  };
}

/** The device, and what is still to come. */
function stateOf(world: Happenings): Pick<Parameters<typeof writeVirtualFile>[1], 'image' | 'coming'> {
  return { image: world.device.save(), coming: world.pending.map(keptAct) };
}

function knownBoard(id: string): Board {
  const board = boardById(id);
  if (board !== undefined) return board;
  const ids = allBoards().map((one) => one.id);
  throw usage(`There is no board '${id}'.`, `Boards: ${ids.join(', ')}.`);
}

function startOf(options: VirtualOptions, context: VirtualContext, timezone: string): UtcSeconds {
  const at = options.at;
  if (at === undefined && context.firstDay === undefined) {
    throw usage(
      'A new virtual controller needs a day to start at.',
      'Give one, as in --at 2026-02-16, or flash a plan to it first: leanward flash PLAN --port virtual:FILE',
    );
  }
  if (at === undefined) return atDay(sure(context.firstDay), timezone);
  const day = dayFromIso(at.trim());
  if (day !== undefined) return atDay(day, timezone);
  const instant = atInstant(at, (near) => offsetsAround(timezone, near));
  if (instant !== undefined) return instant;
  throw usage(`--at ${at} is no date that can be read.`, "Write --at 2026-02-16 or --at '2026-02-16 08:00'.");
}

function atDay(day: number, timezone: string): UtcSeconds {
  const midnight = atInstant(day, (near) => offsetsAround(timezone, near));
  return midnight ?? utcSeconds(day * DAY);
}

/**
 * Everything around a simulated controller that outlasts a call: time, the
 * parts on the board, the line, and the controller's memory.
 *
 * Always holds: it is plain data; `worldImage` and `worldFrom` turn it into
 * JSON-ready data and back without loss.
 */

import { fromHex, toHex } from '../../shared/hex.ts';
import type { State } from '../controller/state.ts';
import type { DeviceImage } from '../device.ts';
import { type BatteryClock, runningClock } from './battery-clock.ts';
import type { Button } from './button.ts';
import { erasedEeprom } from './eeprom.ts';
import { erasedLog } from './log-memory.ts';
import type { Memory } from './memory.ts';
import type { Chance } from './random.ts';
import { type Relays, restingRelays } from './relays.ts';
import type { Surroundings } from './surroundings.ts';

const KIND = 'leanward-simulated';
const VERSION = 2;

/** A byte on the line and when it is through, in virtual microseconds. */
/** What the host's side of the line holds back at most; more is lost. */
export const LINE_BUFFER_BYTES = 4_096;

export interface LineByte {
  readonly at: number;
  readonly byte: number;
}

export interface World {
  readonly boardId: string;
  /** Virtual microseconds since the world began, and true UTC at its beginning. */
  now: number;
  readonly beganUtc: number;
  readonly chance: Chance;
  readonly eeprom: Memory;
  readonly log: Memory;
  readonly clock: BatteryClock;
  readonly relays: Relays;
  readonly button: Button;
  readonly around: Surroundings;
  powered: boolean;
  /** When the program starts after a restart, and why; undefined while it runs or is without power. */
  startAt: number | undefined;
  startCause: number;
  /** The program's memory: runs while `startAt` is undefined; after a restart only its retained block counts. */
  state: State | undefined;
  readonly incoming: LineByte[];
  readonly outgoing: LineByte[];
  /** When the last byte arrived. */
  heardAt: number;
}

export interface WorldOptions {
  readonly boardId: string;
  readonly utc: number;
  readonly seed: number;
  readonly driftPpm: number;
  readonly clockRight: boolean;
  readonly probe: number | undefined;
}

/** A world at its beginning: erased memories, no power. A clock never set stands at 2000 with its flag up. */
export function newWorld(options: WorldOptions): World {
  const { boardId, utc, seed, driftPpm, clockRight, probe } = options;
  return {
    boardId,
    now: 0,
    beganUtc: utc,
    chance: { state: seed },
    eeprom: erasedEeprom(),
    log: erasedLog(),
    clock: runningClock(clockRight ? utc : 0, driftPpm, !clockRight),
    relays: restingRelays(),
    button: { heldSince: undefined, spent: false },
    around: { probe, troubles: {} },
    powered: false,
    startAt: undefined,
    startCause: 0,
    state: undefined,
    incoming: [],
    outgoing: [],
    heardAt: 0,
  };
}

/** Arrays of bytes as JSON holds them. */
interface Packed {
  readonly bytes?: string;
  readonly words?: readonly number[];
}

function pack(_key: string, value: unknown): unknown {
  if (value instanceof Uint8Array) return { bytes: toHex(value) };
  return value instanceof Uint32Array ? { words: Array.from(value) } : value;
}

function unpack(_key: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const { bytes, words } = value as Packed;
  if (typeof bytes === 'string') return fromHex(bytes);
  return words === undefined ? value : Uint32Array.from(words);
}

/** The world as JSON-ready data. */
export function worldImage(world: World): DeviceImage {
  const data = JSON.parse(JSON.stringify(world, pack)) as Record<string, unknown>;
  return { kind: KIND, version: VERSION, data };
}

/** The world in an image. Throws a RangeError when the image is of another kind, version or board. */
export function worldFrom(image: DeviceImage, boardId: string): World {
  if (image.kind !== KIND || image.version !== VERSION || image.data.boardId !== boardId) {
    throw new RangeError(`not a simulated ${boardId} controller of version ${VERSION}`);
  }
  // The maker of such images is `worldImage` alone; kind and version say so.
  return JSON.parse(JSON.stringify(image.data), unpack) as World;
}

/**
 * The file in which a virtual controller is kept between commands.
 *
 * Always holds: the file is whole (written beside and renamed; a check over it
 * tells damage) and used by one command at a time.
 */

import { readFileSync } from 'node:fs';
import type { DeviceImage } from '../../firmware-sim/device.ts';
import { crc32 } from '../../shared/crc.ts';
import type { KeptAct } from '../answers/simulate/events.ts';
import { usage } from '../failure.ts';
import { codeOf, writeFileSafely } from '../files/files.ts';

const FORMAT = 'leanward virtual controller';
const VERSION = 1;
/** How every such file begins. */
export const VIRTUAL_FILE_BEGINS = `{"format":"${FORMAT}"`;

export interface VirtualFile {
  readonly board: string;
  /** IANA time zone of the place: civil times of events are read in it. */
  readonly timezone: string;
  readonly image: DeviceImage;
  /** What was made to happen and has not come yet, or not ended. */
  readonly coming: readonly KeptAct[];
}

/** What the file holds; undefined when there is no such file yet. */
export function readVirtualFile(path: string): VirtualFile | undefined {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    if (codeOf(error) === 'ENOENT') return undefined;
    throw usage(`${path} could not be read (${codeOf(error) ?? String(error)}).`);
  }
  const file = parse(text);
  if (file === 'damaged') {
    throw usage(
      `${path} is damaged: a virtual controller was kept in it.`,
      'Start a new one in another file.',
    );
  }
  if (file === undefined) {
    throw usage(
      `${path} is not a virtual controller's file.`,
      'Choose another name for the virtual controller.',
    );
  }
  return file;
}

function parse(text: string): VirtualFile | 'damaged' | undefined {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return text.startsWith(VIRTUAL_FILE_BEGINS) ? 'damaged' : undefined;
  }
  if (!isRecord(value) || value.format !== FORMAT || value.version !== VERSION) return undefined;
  // Files from before what is to come was kept have none.
  const { board, timezone, image, coming = [] } = value;
  if (typeof board !== 'string' || typeof timezone !== 'string' || !isImage(image)) return undefined;
  if (!Array.isArray(coming) || !coming.every(isKeptAct)) return undefined;
  const file = { board, timezone, image, coming };
  return value.check === undefined || value.check === checkOf(file) ? file : 'damaged';
}

function isKeptAct(value: unknown): value is KeptAct {
  if (!isRecord(value)) return false;
  const { text, begins, part } = value;
  return typeof text === 'string' && typeof begins === 'number' && (part === 0 || part === 1);
}

/** CRC-32 of what the file keeps, as it is written: a single flipped byte makes another controller. */
function checkOf({ board, timezone, image, coming }: VirtualFile): number {
  return crc32(Buffer.from(JSON.stringify({ board, timezone, image, coming })));
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isImage(value: unknown): value is DeviceImage {
  return (
    isRecord(value) &&
    typeof value.kind === 'string' &&
    typeof value.version === 'number' &&
    isRecord(value.data)
  );
}

/** Writes the file. */
export function writeVirtualFile(path: string, file: VirtualFile): void {
  writeFileSafely(
    path,
    `${JSON.stringify({ format: FORMAT, version: VERSION, check: checkOf(file), ...file })}\n`,
  );
}

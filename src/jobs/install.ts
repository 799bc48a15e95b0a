/**
 * Puts a board's firmware on its chip through the boot loader it came with.
 *
 * Always holds: the chip is known to be the right one before anything is
 * written; what was written is read back; the table in the EEPROM is kept.
 */

import { readHex } from '../../firmware-sim/chips/atmega328p/hex.ts';
import { Failure, usage } from '../failure.ts';
import { BOARD_FILES } from '../files/board-facts.ts';
import { projectText } from '../files/project-file.ts';
import { Controller } from '../link/controller.ts';
import { LinkFailure } from '../link/failure.ts';
import { FLASH_PAGE_BYTES, Loader } from '../link/loader.ts';
import type { Port } from '../link/port.ts';
import { face } from './face.ts';

/** Signatures (data sheets) of the chip the firmware is for, and of others that such boards are sold with. */
const RIGHT_CHIP = 0x1e950f;
const CHIPS: Readonly<Record<number, string>> = {
  2003974: 'an ATmega168, which is too small for this firmware',
  2003979: 'an ATmega168P, which is too small for this firmware',
  2004244: 'an ATmega328 without the P, which this firmware was not tried on',
  2004246: 'an ATmega328PB, whose pins and timers differ from the ATmega328P',
  2004359: 'an ATmega32U4, another kind of chip',
  2004993: 'an ATmega2560, another kind of chip',
};

/** What an installation did, and what the board says after it. */
export interface Installed {
  readonly board: string;
  readonly loader: { readonly version: string; readonly baud: number };
  readonly bytes: number;
  readonly revision: string;
  /** A table stood on the board and runs again. */
  readonly table: boolean;
}

/** Puts the firmware of `id` (else: of the board that answers) on the board behind `port`. */
export async function install(port: Port, unit: number, id: string | undefined): Promise<Installed> {
  const board = boardId(id) ?? (await askBoard(port, unit));
  const image = imageOf(board);
  const loader = await Loader.find(port);
  let version: string;
  try {
    version = (await loader.version()).join('.');
    face.remark(`Boot loader version ${version}, ${loader.baudRate.toLocaleString('en')} baud.`);
    checkChip(await loader.signature());
    await loader.enter();
    await put(loader, image);
    await loader.leave();
  } finally {
    await loader.close();
  }
  const controller = await Controller.open(port, unit);
  try {
    const { running } = await controller.status();
    const { revision, board: found } = controller;
    const met = { version, baud: loader.baudRate };
    return { board: found.id, loader: met, bytes: image.length, revision, table: running !== undefined };
  } finally {
    await controller.close();
  }
}

function boardId(id: string | undefined): string | undefined {
  if (id === undefined || BOARD_FILES.some((board) => board.id === id)) return id;
  throw usage(`There is no board '${id}'.`, `Boards: ${BOARD_FILES.map((board) => board.id).join(', ')}.`);
}

/** A board that runs our firmware says itself which one it is. */
async function askBoard(port: Port, unit: number): Promise<string> {
  try {
    const controller = await Controller.open(port, unit);
    await controller.close();
    return controller.board.id;
  } catch (error) {
    if (!(error instanceof LinkFailure) || error.reason !== 'no answer') throw error;
    throw usage(
      `No Leanward firmware answers on ${port.path} yet, so say which board it is.`,
      BOARD_FILES.map((board) => `  --board ${board.id}   ${board.title}`).join('\n'),
    );
  }
}

/** The image's bytes, up to the end of its last page. */
function imageOf(board: string): Uint8Array {
  const flash = new Uint8Array(readHex(projectText(`boards/${board}/firmware.hex`)).buffer);
  const used = flash.findLastIndex((byte) => byte !== 0xff) + 1;
  return flash.subarray(0, Math.ceil(used / FLASH_PAGE_BYTES) * FLASH_PAGE_BYTES);
}

function checkChip(signature: number): void {
  if (signature === RIGHT_CHIP) return;
  const seen = signature.toString(16).toUpperCase().padStart(6, '0');
  const chip = CHIPS[signature] ?? 'a chip that Leanward does not know, perhaps a copy of one';
  throw new Failure('link', `This board carries ${chip} (signature ${seen}). Nothing was written.`, {
    hint: 'The firmware is for an ATmega328P (signature 1E950F).',
    reason: 'wrong chip',
  });
}

async function put(loader: Loader, image: Uint8Array): Promise<void> {
  await eachPage('Writing the firmware', image, (at, page) => loader.write(at, page));
  await eachPage('Reading it back', image, async (at, page) => {
    const read = await loader.read(at);
    if (Buffer.compare(read, page) === 0) return;
    throw new LinkFailure(
      'not verified',
      `The firmware was not written right (page at ${at} differs).`,
      'Run the command again. If it stays so, the chip is worn or the supply is weak.',
    );
  });
}

async function eachPage(
  title: string,
  image: Uint8Array,
  work: (at: number, page: Uint8Array) => Promise<void>,
): Promise<void> {
  const show = face.progress(title);
  for (let at = 0; at < image.length; at += FLASH_PAGE_BYTES) {
    await work(at, image.subarray(at, at + FLASH_PAGE_BYTES));
    show((at + FLASH_PAGE_BYTES) / image.length);
  }
}

/**
 * The register map, as `protocol.md` has it.
 *
 * Always holds: addresses are zero-based as on the wire; 32-bit values take two
 * registers, high word first.
 */

export const MAP_VERSION = 1;
/** Of the firmware, `major.minor`: goes up with every change to what boards run. */
export const FIRMWARE_REVISION = '1.1';
export const DEFAULT_UNIT = 1;
/** A common bootloader takes this byte for its program command. */
export const FORBIDDEN_UNIT = 100;
export const DEFAULT_BAUD = 38400;
/** Silence that ends a frame and comes before the next, replies too: 3.5 characters, which the standard fixes at so much above 19,200 baud (Modbus over serial line, V1.02, 2.5.1.1). */
export const FRAME_SILENCE_MICROS = 1_750;
/** So long a frame for the controller itself may pause: computers hand bytes on in pieces. Common practice, no source. */
export const OWN_PAUSE_MICROS = 5_000;
/** How long the line was silent before a byte. */
export const SILENCE = { none: 0, frame: 1, long: 2 } as const;

export const COIL_COUNT = 9;
export const WORK_LIGHT_COIL = 8;

/** Input registers of the status block. */
export const STATUS = {
  session: 0,
  ownAddress: 1,
  mapVersion: 2,
  board: 3,
  seconds: 4,
  subSecond: 6,
  timeFlags: 7,
  offset: 8,
  state: 9,
  outputs: 10,
  levels: 11,
  faults: 15,
  slot: 16,
  tableSequence: 17,
  tableCrc: 18,
  tableLength: 20,
  digest: 21,
  trialLeft: 23,
  resets: 24,
  bootCause: 25,
  logNewest: 26,
  logOldest: 28,
  temperature: 30,
  due: 31,
  supply: 35,
  identity: 36,
  handMinutes: 38,
  overlayLeft: 39,
  uploadSession: 40,
  outage: 41,
} as const;
export const STATUS_REGISTERS = 42;

export const TIME_FLAG = { known: 1, estimated: 2 } as const;
export const STATE_FLAG = {
  table: 1,
  trial: 2,
  workLight: 4,
  hand: 8,
  visitDue: 16,
  roomOutside: 32,
  starting: 64,
  upload: 128,
} as const;
export const NO_SLOT = 0xffff;
export const NO_TEMPERATURE_REGISTER = 0x8000;

export const BLOCK_STRIDE = 0x80;
/** Session and own address (or block number) before the payload. */
export const BLOCK_HEAD_REGISTERS = 2;
export const BLOCK_REGISTERS = 122;
export const BLOCK_BYTES = 240;
export const TABLE_BLOCKS = 0x1000;
export const SLOT_STRIDE = 0x200;
export const LOG_BLOCKS = 0x4000;
export const LOG_BLOCK_ADDRESSES = 256;
export const RECORDS_PER_BLOCK = 15;
/** First address beyond the input registers. */
export const INPUT_END = 0xc000;
export const MAX_READ_REGISTERS = 125;

/** Holding registers. */
export const HOLDING = {
  begin: 0x0100,
  commit: 0x0110,
  confirm: 0x0120,
  giveUp: 0x0130,
  clock: 0x0140,
  handMinutes: 0x0150,
  visit: 0x0160,
  unit: 0x0170,
  identity: 0x0172,
  reference: 0x0174,
  table: 0x2000,
} as const;
export const UPLOAD_REGISTERS = 16;
export const VISIT_WHAT = { done: 0, takeBack: 1 } as const;
export const MAX_HAND_MINUTES = 720;
export const DEFAULT_HAND_MINUTES = 10;

export const EXCEPTION = { function: 1, address: 2, value: 3, failure: 4, busy: 6 } as const;

/**
 * The run log in its memory: a ring of page pairs, scratch pages for a lone
 * even record, and no stored pointer (log-format.md).
 *
 * Always holds: whatever write tears, only the record under way is lost, and a
 * sequence number once stored is never given again.
 */

import {
  decodeRecord,
  encodeRecord,
  FIRST_SEQUENCE,
  type LogBody,
  type LogRecord,
  PAGE_BYTES,
  RECORD_BYTES,
  RING_PAGES,
  RING_RECORDS,
  SCRATCH_PAGES,
} from '../../shared/log.ts';
import type { SimulatedController } from './state.ts';

const ringPage = (sequence: number): number => (sequence >> 1) % RING_PAGES;
const scratchPage = (sequence: number): number => RING_PAGES + ((sequence >> 1) % SCRATCH_PAGES);

/** The bytes of half `half` of a page. */
function half(memory: Uint8Array, page: number, which: number): Uint8Array {
  const at = page * PAGE_BYTES + which * RECORD_BYTES;
  return memory.subarray(at, at + RECORD_BYTES);
}

/** The record's bytes if `bytes` hold exactly the record `sequence`. */
function holds(bytes: Uint8Array, sequence: number): boolean {
  return decodeRecord(bytes)?.sequence === sequence;
}

const inRing = (memory: Uint8Array, sequence: number): boolean =>
  holds(half(memory, ringPage(sequence), sequence & 1), sequence);

const inScratch = (memory: Uint8Array, sequence: number): boolean =>
  (sequence & 1) === 0 && holds(half(memory, scratchPage(sequence), 0), sequence);

/** Reads all pages: finds the newest record and mends its pair. At a start, or when the memory answers again. */
export function scanLog(controller: SimulatedController): void {
  const memory = controller.hardware.readLog();
  controller.state.logAnswers = memory !== undefined;
  controller.state.newest = memory ? greatest(memory) : 0;
  if (memory) mendPair(controller, memory);
}

function greatest(memory: Uint8Array): number {
  let found = 0;
  for (let page = 0; page < RING_PAGES + SCRATCH_PAGES; page++) {
    for (let which = 0; which < 2; which++) {
      const sequence = decodeRecord(half(memory, page, which))?.sequence ?? 0;
      const inPlace =
        page < RING_PAGES
          ? ringPage(sequence) === page && (sequence & 1) === which
          : scratchPage(sequence) === page && which === 0 && (sequence & 1) === 0;
      if (sequence >= FIRST_SEQUENCE && inPlace) found = Math.max(found, sequence);
    }
  }
  return found;
}

/** The newest is odd and its even partner was torn in the ring but stands in scratch: write the page again. */
function mendPair(controller: SimulatedController, memory: Uint8Array): void {
  const { newest } = controller.state;
  const even = newest - 1;
  if ((newest & 1) === 0 || inRing(memory, even) || !inScratch(memory, even)) return;
  writePair(controller, memory, Uint8Array.from(half(memory, ringPage(newest), 1)), newest);
}

/** The 16 bytes of record `sequence`, or undefined when it is not (any more) in the memory. */
export function recordBytes(controller: SimulatedController, sequence: number): Uint8Array | undefined {
  const memory = logMemory(controller);
  const { newest } = controller.state;
  if (!memory || sequence < FIRST_SEQUENCE || sequence > newest || sequence <= newest - RING_RECORDS) {
    return undefined;
  }
  if (inRing(memory, sequence)) return half(memory, ringPage(sequence), sequence & 1);
  return inScratch(memory, sequence) ? half(memory, scratchPage(sequence), 0) : undefined;
}

/** The record `sequence`, decoded. */
export function recordAt(controller: SimulatedController, sequence: number): LogRecord | undefined {
  const bytes = recordBytes(controller, sequence);
  return bytes && decodeRecord(bytes);
}

/** Sequence number of the oldest record that can still be in the memory; 0: none. */
export function oldestSequence(controller: SimulatedController): number {
  const { newest } = controller.state;
  return newest === 0 ? 0 : Math.max(FIRST_SEQUENCE, newest - RING_RECORDS + 1);
}

/** The memory, unless it has failed to answer since it was last read anew. */
export function logMemory({ state, hardware }: SimulatedController): Uint8Array | undefined {
  const memory = state.logAnswers ? hardware.readLog() : undefined;
  state.logAnswers = memory !== undefined;
  return memory;
}

/** Stores a record. Without a memory it is lost and no number is used. */
export function appendRecord(controller: SimulatedController, body: LogBody, partial = false): void {
  const { state, hardware } = controller;
  const memory = logMemory(controller);
  if (!memory) return;
  const sequence = state.newest + 1;
  const estimated = state.estimated || !state.known;
  const bytes = encodeRecord({ sequence, partial, estimated, ...body });
  if (sequence & 1) writePair(controller, memory, bytes, sequence);
  else hardware.writeLogPage(scratchPage(sequence), pageOf(bytes, undefined));
  state.newest = sequence;
}

function writePair(
  controller: SimulatedController,
  memory: Uint8Array,
  odd: Uint8Array,
  sequence: number,
): void {
  const even = sequence - 1;
  const stands = inScratch(memory, even);
  const first = stands ? Uint8Array.from(half(memory, scratchPage(even), 0)) : undefined;
  controller.hardware.writeLogPage(ringPage(sequence), pageOf(first, odd));
}

function pageOf(first: Uint8Array | undefined, second: Uint8Array | undefined): Uint8Array {
  const page = new Uint8Array(PAGE_BYTES).fill(0xff);
  if (first) page.set(first, 0);
  if (second) page.set(second, RECORD_BYTES);
  return page;
}

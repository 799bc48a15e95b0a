/**
 * The log memory beside the battery clock (AT24C32 type): 4 KB, written in
 * pages of 32 bytes.
 *
 * Always holds: a page is written whole or tears; it never reaches another page.
 */

import { LOG_BYTES, PAGE_BYTES } from '../../shared/log.ts';
import { enqueue, erasedMemory, type Memory } from './memory.ts';

/** Microseconds a page takes: 5 to 10 ms on such parts (from memory). */
const PAGE_MICROS = 5_000;

export const erasedLog = (): Memory => erasedMemory(LOG_BYTES, PAGE_MICROS);

/** Queues a page of 32 bytes. */
export function writePage(log: Memory, page: number, bytes: Uint8Array, now: number): void {
  enqueue(log, page * PAGE_BYTES, bytes, now);
}

/**
 * A memory whose writes take time and can tear: the chip's EEPROM (by bytes)
 * and the log memory (by pages) are both such memories.
 *
 * Always holds: `intended` is what the memory will hold when its queue is done;
 * `physical` is what it holds now. A power cut leaves every byte of the write
 * under way as it was, erased, partly written or written, and forgets the rest.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { type Chance, draw } from './random.ts';

/** The memory and its queue, as plain data. Times in virtual microseconds. */
export interface Memory {
  readonly physical: Uint8Array;
  readonly intended: Uint8Array;
  readonly queue: MemoryWrite[];
  /** When the head of the queue began; meaningless while the queue is empty. */
  beganAt: number;
  /** Microseconds a write takes. */
  readonly writeMicros: number;
}

interface MemoryWrite {
  readonly at: number;
  readonly bytes: readonly number[];
}

const ERASED = 0xff;

/** A memory of `size` erased bytes. */
export function erasedMemory(size: number, writeMicros: number): Memory {
  return {
    physical: new Uint8Array(size).fill(ERASED),
    intended: new Uint8Array(size).fill(ERASED),
    queue: [],
    beganAt: 0,
    writeMicros,
  };
}

/** Puts a write in the queue at `now`. */
export function enqueue(memory: Memory, at: number, bytes: ArrayLike<number>, now: number): void {
  memory.intended.set(bytes, at);
  if (memory.queue.length === 0) memory.beganAt = now;
  memory.queue.push({ at, bytes: Array.from(bytes) });
}

/** When the write under way ends; Infinity when there is none. */
export function writeEnd(memory: Memory): number {
  return memory.queue.length > 0 ? memory.beganAt + memory.writeMicros : Number.POSITIVE_INFINITY;
}

/** Finishes what has ended by `now`. */
export function settle(memory: Memory, now: number): void {
  while (writeEnd(memory) <= now) {
    const done = sure(memory.queue.shift());
    memory.physical.set(done.bytes, done.at);
    memory.beganAt += memory.writeMicros;
  }
}

/** The controller restarts with power on: the write under way ends well, the rest is forgotten. */
export function forgetQueue(memory: Memory): void {
  const head = memory.queue[0];
  if (head) memory.physical.set(head.bytes, head.at);
  memory.queue.length = 0;
  memory.intended.set(memory.physical);
}

/** The power fails: the write under way tears. */
export function tear(memory: Memory, chance: Chance): void {
  const head = memory.queue[0];
  if (head) tearWrite(memory, head, chance);
  memory.queue.length = 0;
  memory.intended.set(memory.physical);
}

function tearWrite(memory: Memory, write: MemoryWrite, chance: Chance): void {
  const whole = draw(chance, 4);
  write.bytes.forEach((wanted, index) => {
    const at = write.at + index;
    // Half of the torn writes end alike in every byte, the others byte by byte as chance has it.
    const how = whole < 2 ? draw(chance, 4) : whole;
    memory.physical[at] = tornByte(itemAt(memory.physical, at), wanted, how, chance);
  });
}

/** Before, erased, partly (some bits still to be cleared, or still to be erased), or written. */
function tornByte(before: number, wanted: number, how: number, chance: Chance): number {
  if (how === 0) return before;
  if (how === 1) return ERASED;
  if (how === 2) return (draw(chance, 2) === 0 ? before : wanted) | draw(chance, 256);
  return wanted;
}

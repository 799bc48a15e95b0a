/**
 * Intel HEX text → the chip's program memory.
 *
 * Always holds: a line with a wrong checksum is refused; what the file does
 * not set is erased (0xFF).
 */
import { itemAt } from '../../../shared/assert.ts';

export const FLASH_BYTES = 32_768;
const DATA = 0;
const END = 1;
const SEGMENT = 2;
const LINEAR = 4;

/** An image and, where there is one, a bootloader beside it. */
export interface Program {
  readonly words: Uint16Array;
  /** Word address at which a reset begins: the bootloader's first, or 0. */
  readonly begin: number;
}

/** What stands in the chip's program memory when both images were written to it; errors as `readHex`. */
export function programWith(image: string, loader: string | undefined): Program {
  const words = readHex(image);
  if (loader === undefined) return { words, begin: 0 };
  const own = readHex(loader);
  own.forEach((word, at) => {
    if (word !== 0xffff) words[at] = word;
  });
  return { words, begin: own.findIndex((word) => word !== 0xffff) };
}

/** The 16,384 words of program memory. Throws a RangeError when the text is not such a file, or too large. */
export function readHex(text: string): Uint16Array {
  const flash = new Uint8Array(FLASH_BYTES).fill(0xff);
  let base = 0;
  for (const line of text.split(/\r?\n/)) {
    if (line === '') continue;
    const bytes = Uint8Array.from(line.slice(1).match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
    const [count = 0, high = 0, low = 0, type = 0] = bytes;
    const sum = bytes.reduce((total, byte) => (total + byte) & 0xff, 0);
    if (!line.startsWith(':') || bytes.length !== count + 5 || sum !== 0)
      throw new RangeError('not an Intel HEX file');
    const data = bytes.subarray(4, 4 + count);
    const at = base + high * 256 + low;
    if (type === DATA) {
      if (at + count > FLASH_BYTES) throw new RangeError('the image is larger than the chip');
      flash.set(data, at);
    } else if (type === SEGMENT) base = (itemAt(data, 0) * 256 + itemAt(data, 1)) * 16;
    else if (type === LINEAR) base = (itemAt(data, 0) * 256 + itemAt(data, 1)) * 65_536;
    else if (type === END) break;
  }
  return new Uint16Array(flash.buffer);
}

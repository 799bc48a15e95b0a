/** Bytes as hexadecimal text and back: two lower-case digits a byte. */

/** `Uint8Array.of(10, 255)` → `0aff`. */
export const toHex = (bytes: Iterable<number>): string =>
  Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');

/** `0aff` → its bytes; a digit left over at the end is dropped. */
export const fromHex = (text: string): Uint8Array =>
  Uint8Array.from(text.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));

/**
 * From bytes to text: UTF-8 only, at most 1 MiB.
 */

import type { Report } from '../findings/collector.ts';

/** Largest plan read, bytes. */
const BYTES_MAX = 1_048_576;

export interface DecodedText {
  readonly text: string;
  /** False when the text must not be read further. */
  readonly readable: boolean;
}

/** Decodes a plan's bytes; what stands in the way is reported. A leading byte order mark is dropped. */
export function decodeText(source: Uint8Array | string, report: Report): DecodedText {
  const size = typeof source === 'string' ? byteLength(source) : source.length;
  if (size > BYTES_MAX) {
    report('text-too-large', { start: 0, end: 0 }, { bytes: size, limit: BYTES_MAX });
    return { text: '', readable: false };
  }
  if (typeof source === 'string') return { text: source.replace(/^\uFEFF/, ''), readable: true };
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(source), readable: true };
  } catch {
    return notUtf8(source, report);
  }
}

function byteLength(text: string): number {
  return text.length > BYTES_MAX ? text.length : new TextEncoder().encode(text).length;
}

function notUtf8(source: Uint8Array, report: Report): DecodedText {
  const text = new TextDecoder('utf-8').decode(source);
  const at = Math.max(text.indexOf('\uFFFD'), 0);
  const wide = (source[0] === 0xff && source[1] === 0xfe) || (source[0] === 0xfe && source[1] === 0xff);
  report('text-not-utf8', { start: at, end: at + 1 }, { wide });
  return { text, readable: false };
}

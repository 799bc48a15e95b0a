/**
 * Words that quote what someone wrote: a plan, a note, a device.
 *
 * Always holds: nothing in them can steer a terminal or turn the direction of
 * what stands beside them.
 */

/** `text` with control, format and separator characters as blanks; line ends stay. */
export function harmless(text: string): string {
  return text.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, (one) => (one === '\n' ? one : ' '));
}

/**
 * A plan's file as text and as lines: what the editor shows has plain line
 * breaks, what is written has the file's own.
 */

const BOM = '\ufeff';

/** How a file writes what the editor does not show. */
export interface Spelling {
  readonly bom: string;
  readonly newline: '\n' | '\r\n';
}

/** The spelling of a file's text; the line break that is the commoner counts. */
export function spellingOf(text: string): Spelling {
  const windows = text.match(/\r\n/g)?.length ?? 0;
  const all = text.match(/\n/g)?.length ?? 0;
  return { bom: text.startsWith(BOM) ? BOM : '', newline: windows * 2 > all ? '\r\n' : '\n' };
}

/** As the editor shows it. */
export const shownText = (text: string): string => text.replace(BOM, '').replace(/\r\n?/g, '\n');

/** As the file has it. */
export const writtenText = (text: string, { bom, newline }: Spelling): string =>
  bom + (newline === '\n' ? text : text.replaceAll('\n', newline));

/**
 * The files that a plan's lamps name, photometric and spectra: plain ones beside the plan or
 * in a folder there, of a known ending and of bounded size.
 */

import { readPlainFile } from './files.ts';

/** Such files have tens of kilobytes. */
const BYTES_MAX = 4 * 1_048_576;
/** Nothing else is handed out by a name that a plan gives. */
const ENDINGS = /\.(?:ies|csv|tsv|txt)$/i;

/** The text of a file, a character a byte; undefined where there is none that may be read. */
export function readLampFile(folder: string, name: string): string | undefined {
  if (!ENDINGS.test(name)) return undefined;
  const bytes = readPlainFile(folder, name, BYTES_MAX);
  return bytes && Buffer.from(bytes).toString('latin1');
}

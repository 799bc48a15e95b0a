/**
 * What can go wrong with the archive, in words for the grower.
 *
 * Always holds: the message is a full sentence; the hint says what to do; the
 * call that threw wrote nothing.
 */

import { Failure } from '../failure.ts';

export type ArchiveFault = 'newer' | 'not an archive' | 'unreachable' | 'busy' | 'contradiction' | 'damaged';

/** An archive that cannot be used as asked; `fault` is for programs, the message for people. */
export class ArchiveError extends Failure {
  readonly fault: ArchiveFault;

  constructor(fault: ArchiveFault, message: string, hint?: string) {
    // A log that is not the archive's is a fault of the controller; all else is of the archive that was named.
    super(fault === 'contradiction' ? 'link' : 'usage', message, { hint, reason: `archive: ${fault}` });
    this.name = 'ArchiveError';
    this.fault = fault;
  }
}

/** An error of the SQLite library in words; any other error as it came. */
export function inWords(place: string, error: unknown): unknown {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  if (error instanceof ArchiveError || !code.startsWith('SQLITE_')) return error;
  if (code === 'SQLITE_NOTADB') return notAnArchive(place);
  if (code.startsWith('SQLITE_CORRUPT')) {
    return new ArchiveError('damaged', `The archive ${place} is damaged.`, 'Put a copy of it back.');
  }
  if (code.startsWith('SQLITE_BUSY')) {
    return new ArchiveError('busy', `Another program is writing to ${place}.`, 'Try again in a moment.');
  }
  if (code.startsWith('SQLITE_FULL')) {
    return new ArchiveError(
      'unreachable',
      `The disk is full: nothing was added to ${place}.`,
      'Make room first.',
    );
  }
  return new ArchiveError(
    'unreachable',
    `The archive ${place} cannot be used (${code}).`,
    'Check who owns it.',
  );
}

/** The refusal of a file that is something else. */
export function notAnArchive(place: string): ArchiveError {
  return new ArchiveError('not an archive', `${place} is not a run archive. It was left as it is.`);
}

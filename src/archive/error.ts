/**
 * What can go wrong with the archive, in words for the grower.
 *
 * Always holds: the message is a full sentence; the hint says what to do; the
 * call that threw wrote nothing; a fault of a database, of its file or of its
 * driver is never taken for an error of ours.
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

  /** Whether it may be over in a while: another program writes, a server is away, a disk is full. */
  get passes(): boolean {
    return this.fault === 'busy' || this.fault === 'unreachable';
  }
}

/** The code of an error of a library or of the system. */
function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}

/** An error of a database, its driver or the system in words; any other error as it came. */
export function inWords(place: string, error: unknown): unknown {
  if (error instanceof Failure || !(error instanceof Error)) return error;
  return (
    driverWords(place, error) ?? sqliteWords(place, codeOf(error)) ?? postgresWords(place, error) ?? error
  );
}

/** The native part of the SQLite library is missing, or made for another Node. */
function driverWords(place: string, error: Error): ArchiveError | undefined {
  const missing = /^(ERR_DLOPEN_FAILED|(ERR_)?MODULE_NOT_FOUND)$/.test(codeOf(error));
  if (!missing && !/NODE_MODULE_VERSION|bindings file/.test(error.message)) return undefined;
  return new ArchiveError(
    'unreachable',
    `The archive ${place} cannot be opened: the database driver is missing, or made for another Node than this ${process.version}.`,
    'Run `npm rebuild` in the folder of Leanward (or `npm ci`), then try again.',
  );
}

function sqliteWords(place: string, code: string): ArchiveError | undefined {
  if (!code.startsWith('SQLITE_')) return undefined;
  if (code === 'SQLITE_NOTADB') return notAnArchive(place);
  if (code.startsWith('SQLITE_BUSY') || code.startsWith('SQLITE_LOCKED')) return busy(place);
  if (code.startsWith('SQLITE_FULL')) return diskFull(place);
  if (/^SQLITE_(READONLY|CANTOPEN|PERM|AUTH|IOERR)/.test(code)) {
    const message = `The archive ${place} cannot be used (${code}).`;
    return new ArchiveError('unreachable', message, 'Check who owns the file and its folder, and the disk.');
  }
  // A table that is not there, a value of another kind: the file has an archive's mark but not its insides.
  return damaged(place);
}

/** Classes of SQLSTATE (PostgreSQL's documentation, appendix A). */
function postgresWords(place: string, error: Error): ArchiveError | undefined {
  const code = codeOf(error);
  const away =
    /^(E[A-Z]+|08\w{3}|57P0\d)$/.test(code) || /^(Connection terminated|timeout e)/.test(error.message);
  if (away)
    return new ArchiveError('unreachable', `The archive at ${place} does not answer (${error.message}).`);
  if (/^SASL/.test(error.message)) return refused(place, 'it asks for a password');
  if (!/^[0-9A-Z]{5}$/.test(code)) return undefined;
  if (code === '42501') {
    return new ArchiveError(
      'unreachable',
      `You may not do this in the archive at ${place} (${error.message}).`,
      'Ask whoever keeps the database for the right to write in its schema `leanward`; to look, the right to select is enough.',
    );
  }
  if (code.startsWith('28')) return refused(place, error.message);
  if (/^22(P05|021)$/.test(code)) return wrongEncoding(place);
  if (code === '53100') return diskFull(place);
  if (/^(53|55P03|40)/.test(code)) return busy(place);
  if (/^(42P01|42703|XX)/.test(code)) return damaged(place);
  return new ArchiveError('unreachable', `The archive at ${place} cannot be used (${error.message}).`);
}

function refused(place: string, why: string): ArchiveError {
  return new ArchiveError(
    'unreachable',
    `The archive at ${place} does not let you in (${why}).`,
    'Check the name and the password; signs such as @ : / # ? % in a password are written as %40 %3A %2F %23 %3F %25.',
  );
}

function busy(place: string): ArchiveError {
  return new ArchiveError('busy', `Another program is writing to ${place}.`, 'Try again in a moment.');
}

function diskFull(place: string): ArchiveError {
  const message = `The disk is full: nothing was added to ${place}.`;
  return new ArchiveError('unreachable', message, 'Make room first.');
}

/** The refusal of an archive whose insides are not what they must be. */
export function damaged(place: string): ArchiveError {
  return new ArchiveError('damaged', `The archive ${place} is damaged.`, 'Put a copy of it back.');
}

/** The refusal of a database whose encoding cannot hold every text. */
export function wrongEncoding(place: string): ArchiveError {
  return new ArchiveError(
    'unreachable',
    `The database at ${place} cannot hold every sign that plans and notes are written with.`,
    "Use one that was made with: create database NAME encoding 'UTF8' template template0",
  );
}

/** The refusal of a file that is something else. */
export function notAnArchive(place: string): ArchiveError {
  return new ArchiveError('not an archive', `${place} is not a run archive. It was left as it is.`);
}

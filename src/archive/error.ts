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

/** An error of a database or the system in words; any other error as it came. */
export function inWords(place: string, error: unknown): unknown {
  if (error instanceof Failure || !(error instanceof Error)) return error;
  return sqliteWords(place, error) ?? postgresWords(place, error) ?? error;
}

/** SQLite's result codes (sqlite.org/rescode.html) that have words of their own. */
const RESULT = {
  perm: 3,
  busy: 5,
  locked: 6,
  readonly: 8,
  ioerr: 10,
  full: 13,
  cantopen: 14,
  auth: 23,
  notadb: 26,
} as const;
/** The result code is the low byte of an extended one. */
const RESULT_MASK = 0xff;
/** The stand-in for older Nodes leaves the code out where rows are read; what is left is SQLite's own text. */
const RESULT_OF_TEXT: Readonly<Record<string, number>> = {
  'access permission denied': RESULT.perm,
  'database is locked': RESULT.busy,
  'database table is locked': RESULT.locked,
  'attempt to write a readonly database': RESULT.readonly,
  'disk I/O error': RESULT.ioerr,
  'database or disk is full': RESULT.full,
  'unable to open database file': RESULT.cantopen,
  'file is not a database': RESULT.notadb,
};
const RESULT_OTHER = 1;

/** SQLite's result code of an error; undefined for an error that is not SQLite's. */
function resultOf(error: Error): number | undefined {
  if (codeOf(error) !== 'ERR_SQLITE_ERROR') return undefined;
  if ('errcode' in error && typeof error.errcode === 'number') return error.errcode & RESULT_MASK;
  return RESULT_OF_TEXT[error.message] ?? RESULT_OTHER;
}

function sqliteWords(place: string, error: Error): ArchiveError | undefined {
  switch (resultOf(error)) {
    case undefined:
      return undefined;
    case RESULT.notadb:
      return notAnArchive(place);
    case RESULT.busy:
    case RESULT.locked:
      return busy(place);
    case RESULT.full:
      return diskFull(place);
    case RESULT.readonly:
    case RESULT.cantopen:
    case RESULT.perm:
    case RESULT.auth:
    case RESULT.ioerr: {
      const message = `The archive ${place} cannot be used (${error.message}).`;
      return new ArchiveError(
        'unreachable',
        message,
        'Check who owns the file and its folder, and the disk.',
      );
    }
    default:
      // A table that is not there, a value of another kind: the file has an archive's mark but not its insides.
      return damaged(place);
  }
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

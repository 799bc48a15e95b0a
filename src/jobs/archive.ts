/**
 * Which archive a command means: the one it names, else the one beside its plan.
 *
 * Always holds: practice on a virtual controller never mixes with what real
 * controllers told: it has an archive of its own beside the plan.
 */

import { existsSync } from 'node:fs';
import { basename, resolve } from 'node:path';
import { defaultArchivePath, lookInArchive, planName, withArchive } from '../archive/open.ts';
import { withoutPassword } from '../archive/open-postgres.ts';
import { controllersOf } from '../archive/read.ts';
import { type Claim, refuseStranger } from '../archive/strangers.ts';
import { Failure } from '../failure.ts';
import { face } from './face.ts';
import { isVirtual } from './open-port.ts';

/** Options of a command that uses the archive. */
export interface ArchiveOptions {
  readonly archive?: string;
  readonly port?: string;
}

/** Name of the option and its help, the same for every command. */
export const ARCHIVE_OPTION = [
  '--archive <place>',
  'the run archive: a file, or postgres://… (else it lies beside the plan)',
] as const;

/** Place of the archive that a command writes what it read from a port into, and the plan's name in it. */
export function archiveOf(planPath: string, options: ArchiveOptions): { place: string; name: string } {
  const beside = isVirtual(options.port) ? virtualPath(planPath) : defaultArchivePath(planPath);
  return { place: options.archive ?? beside, name: planName(planPath) };
}

/** An archive that a command looks into, and the plan's name in it. */
export interface ArchiveToRead {
  readonly place: string;
  readonly name: string;
  /** It is that of a virtual controller beside the plan, whose time is its own. */
  readonly practice: boolean;
}

/**
 * The archive that a command looks into: the real one, else that of a virtual controller; so too where no controller
 * has told the real one anything yet, and it has no more than a grow book that was begun before the practice.
 */
export async function archiveToRead(planPath: string, options: ArchiveOptions): Promise<ArchiveToRead> {
  const virtual = virtualPath(planPath);
  const name = planName(planPath);
  if (options.archive !== undefined) {
    return { place: options.archive, name, practice: options.archive === virtual };
  }
  const real = defaultArchivePath(planPath);
  if (!existsSync(virtual) || (existsSync(real) && (await hasMetController(real)))) {
    return { place: real, name, practice: false };
  }
  face.remark(`Looking into ${virtual}, the archive of a virtual controller.`);
  return { place: virtual, name, practice: true };
}

/** Whether a controller ever told an archive anything. */
export const hasMetController = (place: string): Promise<boolean> =>
  lookInArchive(place, Date.now(), async (archive) => (await controllersOf(archive)).length > 0);

/** The archive of a plan's real controllers, where `place` is that of virtual ones and the real one is there. */
export function bookBeside(planPath: string, place: string): string | undefined {
  const real = defaultArchivePath(planPath);
  return place === virtualPath(planPath) && existsSync(real) ? real : undefined;
}

/** Whether an archive was made; a database is asked when it is opened. */
export const isArchiveThere = (place: string): boolean => place.includes('://') || existsSync(place);

/** An archive's place as it is told: a file by its bare name, a database without its password. */
export const placeShown = (place: string): string =>
  place.includes('://') ? withoutPassword(place) : basename(place);

/** An archive's place as it is the same from every folder: a file by its whole path, a database as it is. */
export const wholePlace = (place: string): string => (place.includes('://') ? place : resolve(place));

/** Refuses a board that the archive knows as another; an archive that cannot be asked stops nothing. */
export async function checkInArchive(
  path: string,
  options: ArchiveOptions,
  claim: Omit<Claim, 'plan'>,
): Promise<void> {
  const { place, name } = archiveOf(path, options);
  if (!isArchiveThere(place)) return;
  try {
    await withArchive(place, Date.now(), (archive) => refuseStranger(archive, { ...claim, plan: name }));
  } catch (error) {
    // What is wrong with the archive is told where something is kept in it.
    if (error instanceof Failure && error.reason === 'another board') throw error;
  }
}

/** Where a plan's archives lie beside it, whether they were made or not: the real one, and that of practice. */
export const archivesBeside = (planPath: string): readonly [real: string, practice: string] => [
  defaultArchivePath(planPath),
  virtualPath(planPath),
];

function virtualPath(planPath: string): string {
  return defaultArchivePath(planPath).replace(/\.archive\.sqlite$/, '.virtual.archive.sqlite');
}

/**
 * A plan file, read or compiled, with its findings printed.
 *
 * Always holds: a plan with errors throws after every one of them was printed
 * (exit code 1).
 */

import { dirname } from 'node:path';
import { compilePlan } from '../../compiler/compile.ts';
import type { ControllerTable, SoundPlan } from '../../compiler/compiled.ts';
import type { Finding } from '../../compiler/findings/finding.ts';
import { lampFileNames } from '../../compiler/light/options.ts';
import { civilDayAt } from '../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { readPlan } from '../../compiler/read-plan.ts';
import type { Board } from '../../shared/board.ts';
import { utcFromUnixMs } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { withStrictness } from '../answers/check/strict.ts';
import { planErrors } from '../failure.ts';
import { allBoards } from '../files/boards.ts';
import { readBytes } from '../files/files.ts';
import { readLampFile } from '../files/lamp-files.ts';
import { face } from './face.ts';
import { tellFindings } from './findings.ts';

export type PlanTable = ControllerTable;

/** The boards there are, by id. */
export function boardsById(): Readonly<Record<string, Board>> {
  return Object.fromEntries(allBoards().map((board) => [board.id, board]));
}

/** A plan's file as it was read: everything that is done with it rests on the same bytes. */
export interface PlanSource {
  readonly path: string;
  readonly bytes: Uint8Array;
}

/** Reads a plan's file, once: it may be changed meanwhile, or be a pipe that gives its text only once. */
export function openPlan(path: string): PlanSource {
  return { path, bytes: readBytes(path) };
}

/** Reads and checks a plan without compiling it. */
export function readPlanFile(path: string): ResolvedPlan {
  return readPlanSource(openPlan(path));
}

/** The same for a file that was read. */
export function readPlanSource({ path, bytes }: PlanSource): ResolvedPlan {
  const { plan, findings, text, units } = readPlan(bytes, { boards: boardsById() });
  if (plan !== undefined) return plan;
  tellFindings(findings, { file: path, text, units });
  throw planErrors();
}

/** One line for all warnings: `check` is the command that shows them. */
function tellWarnings(path: string, findings: readonly Finding[]): void {
  const count = findings.filter(({ severity }) => severity === 'warning').length;
  if (count > 0)
    face.remark(
      `${path}: ${count} warning${count === 1 ? '' : 's'}; leanward check ${path} shows ${count === 1 ? 'it' : 'them'}.`,
    );
}

/**
 * Compiles a plan from a day on (undefined: from its beginning); warnings are counted in a line. Where
 * the whole grow does not fit a board, its tables are those of a flash on `day` (undefined: today).
 */
export async function compilePlanFile(
  path: string,
  fromDay: CivilDay | undefined,
  strict = false,
  day?: CivilDay,
): Promise<SoundPlan> {
  return compilePlanSource(openPlan(path), fromDay, strict, day);
}

/** The same for a file that was read. */
export async function compilePlanSource(
  { path, bytes }: PlanSource,
  fromDay: CivilDay | undefined,
  strict = false,
  day?: CivilDay,
): Promise<SoundPlan> {
  const boards = boardsById();
  const photometry = photometryFor(bytes, path, boards);
  const compiled = compilePlan(bytes, {
    boards,
    photometry,
    // Warnings are only counted here, so that their remedies would go unread; as errors they are shown.
    advise: strict,
    today: (timezone) => day ?? civilDayAt(timezone, utcFromUnixMs(Date.now())),
    ...(fromDay === undefined ? {} : { fromDay }),
  });
  const findings = withStrictness(compiled.findings, strict);
  tellFindings(findings, { file: path, text: compiled.text, units: compiled.units }, ['note', 'warning']);
  tellWarnings(path, findings);
  const { plan, timeline } = compiled;
  const sound = !findings.some(({ severity }) => severity === 'error');
  if (plan === undefined || timeline === undefined || !sound) throw planErrors();
  return { ...compiled, findings, plan, timeline };
}

/** The photometric files and spectra of a plan file's lamps, for commands that work its light out anew. */
export function photometryOf(path: string): Record<string, string> {
  return photometryFor(readBytes(path), path, boardsById());
}

/** The photometric files and spectra that the plan's lamps name, from the plan's own folder; those that are not there are left out (a finding tells). */
export function photometryFor(
  bytes: Uint8Array,
  path: string,
  boards: Readonly<Record<string, Board>>,
): Record<string, string> {
  if (!mentionsLampFiles(bytes)) return {};
  const lamps = readPlan(bytes, { boards }).plan?.lamps ?? [];
  const folder = dirname(path);
  return Object.fromEntries(
    lampFileNames(lamps).flatMap((name) => {
      const found = readLampFile(folder, name);
      return found === undefined ? [] : [[name, found]];
    }),
  );
}

/** Whether reading the plan twice is worth it. */
function mentionsLampFiles(bytes: Uint8Array): boolean {
  const text = Buffer.from(bytes);
  return ['photometry', 'spectrum'].some((key) => text.includes(key));
}

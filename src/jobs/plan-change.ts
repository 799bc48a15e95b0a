/**
 * A change that is written into a plan's file for the grower: tried first, shown
 * line by line, written whole.
 *
 * Always holds: a change after which the plan would have errors, or could not be
 * flashed, is refused, and nothing is written.
 */

import { compilePlan } from '../../compiler/compile.ts';
import { readPlan } from '../../compiler/read-plan.ts';
import { type CivilDay, civilDay } from '../../shared/units.ts';
import { planErrors, refused } from '../failure.ts';
import { readBytes, writeFileSafely } from '../files/files.ts';
import { todayAt } from './dates.ts';
import { face } from './face.ts';
import { tellFindings } from './findings.ts';
import { boardsById, photometryFor } from './plan-file.ts';

/** A change that was tried. */
export interface PlanChange {
  readonly path: string;
  readonly before: string;
  readonly after: string;
}

/**
 * Tries a change; `what` says what was not done when it cannot be. A plan that had no errors is also compiled as a
 * flash on `day`, or today where that is earlier, would do.
 */
export function tryChange(
  path: string,
  change: (text: string) => string | undefined,
  { what, day }: { readonly what: string; readonly day: CivilDay },
): PlanChange {
  const before = readPlan(readBytes(path), { boards: boardsById() });
  const after = change(before.text);
  if (after === undefined) {
    throw refused(
      `${path} is written so that this cannot be put in for you.`,
      'Write it by hand, or write the batch out where it is copied by a mark.',
    );
  }
  const wrong = wrongWith(path, after, day);
  if (wrong) throw refuse(path, wrong, what, before.plan !== undefined);
  return { path, before: before.text, after };
}

/** A plan's text as changes are made in it. */
export const textOfPlan = (path: string): string => readPlan(readBytes(path), { boards: boardsById() }).text;

/** The same for a change that may be left out: undefined where the plan would not be sound with it. */
export function soundChange(
  path: string,
  before: string,
  after: string,
  day: CivilDay,
): PlanChange | undefined {
  return wrongWith(path, after, day) ? undefined : { path, before, after };
}

type Read = Pick<ReturnType<typeof readPlan>, 'findings' | 'text' | 'units'>;

/** What is wrong with a text, as a flash on a day would find; undefined: it is sound. */
function wrongWith(path: string, text: string, day: CivilDay): Read | undefined {
  const boards = boardsById();
  const read = readPlan(text, { boards });
  if (!read.plan) return read;
  const bytes = Buffer.from(text);
  const compiled = compilePlan(bytes, {
    ...{ boards, photometry: photometryFor(bytes, path, boards), advise: false },
    // A change of an earlier season is seen as it was to be flashed then.
    today: (timezone) => civilDay(Math.min(todayAt(timezone, undefined), day)),
  });
  const isSound = !compiled.findings.some(({ severity }) => severity === 'error');
  return isSound ? undefined : { ...read, findings: compiled.findings };
}

function refuse(path: string, { findings, text, units }: Read, what: string, soundBefore: boolean): Error {
  tellFindings(findings, { file: path, text, units }, ['note', 'warning']);
  const why = soundBefore ? `with it ${path} would have these errors` : `${path} has errors`;
  face.remark(`${what}: ${why}. Nothing was written.`);
  return planErrors();
}

/** Writes the change. */
export function writeChange({ path, after }: PlanChange): void {
  writeFileSafely(path, after);
}

/** The lines that change, `-` as they were and `+` as they are, with their numbers. */
export function changedLines({ before, after }: PlanChange): string[] {
  const [old, fresh] = [before.split(/\r?\n/), after.split(/\r?\n/)];
  let head = 0;
  while (head < old.length && old[head] === fresh[head]) head += 1;
  let tail = 0;
  const most = Math.min(old.length, fresh.length) - head;
  while (tail < most && old[old.length - 1 - tail] === fresh[fresh.length - 1 - tail]) tail += 1;
  const lines = (sign: string, all: readonly string[]): string[] =>
    all
      .slice(head, all.length - tail)
      .map((line, i) => `${sign} ${String(head + i + 1).padStart(4)}  ${line}`);
  return [...lines('-', old), ...lines('+', fresh)];
}

/** What the grower still has to do once the plan's file was changed. */
export const FLASH_REMINDER = (path: string): string =>
  `The controllers do not know yet: leanward flash ${path} --port PORT.`;

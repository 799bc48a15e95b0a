/**
 * A plan file, read or compiled, with its diagnostics printed.
 *
 * Always holds: a plan with errors throws after every one of them was printed
 * (exit code 1).
 */

import { dirname, resolve } from 'node:path';
import { type Compiled, type ControllerTable, compilePlan } from '../compiler/compile.ts';
import type { Diagnostic } from '../compiler/diagnostics/diagnostic.ts';
import { readPlan } from '../compiler/plan/read.ts';
import type { ResolvedPlan } from '../compiler/plan/resolved.ts';
import type { Board } from '../shared/board.ts';
import type { CivilDay } from '../shared/units.ts';
import { allBoards } from './boards.ts';
import { planErrors } from './failure.ts';
import { readBytes } from './files.ts';
import { remark } from './terminal.ts';

export type PlanTable = ControllerTable;

/** The boards there are, by id. */
export function boardsById(): Readonly<Record<string, Board>> {
  return Object.fromEntries(allBoards().map((board) => [board.id, board]));
}

/** Reads and checks a plan without compiling it. */
export function readPlanFile(path: string): ResolvedPlan {
  const { plan, diagnostics, text } = readPlan(readBytes(path), { boards: boardsById() });
  if (plan !== undefined) return plan;
  printErrors(path, text, diagnostics);
  throw planErrors();
}

/** Compiles a plan from a day on (undefined: from its beginning). */
export function compilePlanFile(
  path: string,
  fromDay: CivilDay | undefined,
): Compiled & { readonly plan: ResolvedPlan } {
  const bytes = readBytes(path);
  const boards = boardsById();
  const { plan: read } = readPlan(bytes, { boards });
  const photometry = read ? photometryOf(read, path) : {};
  const compiled = compilePlan(bytes, { boards, photometry, ...(fromDay === undefined ? {} : { fromDay }) });
  const { plan } = compiled;
  if (plan !== undefined && compiled.tables.length > 0) return { ...compiled, plan };
  printErrors(path, compiled.text, compiled.diagnostics);
  throw planErrors();
}

/** The photometric files that the plan's lamps name, from the plan's own folder. */
function photometryOf(plan: ResolvedPlan, path: string): Record<string, string> {
  const names = new Set(plan.lamps.flatMap(({ photometry }) => photometry ?? []));
  const folder = dirname(path);
  return Object.fromEntries(
    [...names].map((name) => [name, Buffer.from(readBytes(resolve(folder, name))).toString('latin1')]),
  );
}

function printErrors(path: string, text: string, diagnostics: readonly Diagnostic[]): void {
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  for (const { code, span } of errors) {
    const line = text.slice(0, span.start).split('\n').length;
    remark(`${path}:${line}: error ${code}`);
  }
}

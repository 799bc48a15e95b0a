/** The canonical trace: one line a change, every output's level as two hex digits, output 1 first. */

import { isoInstant } from '../../../shared/civil.ts';
import type { SimulatedRun } from './run.ts';

/** The text of a trace file; several controllers' lines are in order of time, then of the plan. */
export function traceText(runs: readonly SimulatedRun[]): string {
  const lines = runs.flatMap(({ table, trace }) =>
    trace.map(({ utc, levels }) => {
      const hex = [...levels].map((level) => level.toString(16).padStart(2, '0')).join('.');
      return { utc, line: `${isoInstant(utc)} ${table.name} out ${hex}` };
    }),
  );
  lines.sort((a, b) => a.utc - b.utc);
  return lines.map(({ line }) => `${line}\n`).join('');
}

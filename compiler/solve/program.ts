/**
 * Linear programs for clusters too wide to be settled by elimination.
 *
 * A pool of good patterns is given; the program says how many minutes each burns.
 *
 * Always holds: the solver is handed in; its options pin it to one path (simplex,
 * presolve off, seed 0, gaps 0, node limits and never time limits), and what it says is
 * only a suggestion: minutes are rounded to whole slots and scored like any other answer.
 */

import { itemAt } from '../../shared/assert.ts';
import { FACES, STEADY_FACES } from '../light/row.ts';
import { FULL } from './patterns.ts';
import { type AskedZone, type Part, type Problem, patternOf } from './problem.ts';
import { ANGLE_MOST, BALANCE_MOST } from './score.ts';

/** The part of HiGHS (npm `highs`) that is used: one model in CPLEX LP text in, columns out. */
export interface LinearSolver {
  solve(
    problem: string,
    options: Readonly<Record<string, string | number | boolean>>,
  ): {
    readonly Status: string;
    readonly ObjectiveValue: number;
    readonly Columns: Readonly<Record<string, { readonly Primal?: number }>>;
  };
}

/** Options that make the solver's answer the same everywhere. */
export const PINNED = {
  presolve: 'off',
  solver: 'simplex',
  parallel: 'off',
  random_seed: 0,
  mip_rel_gap: 0,
  mip_abs_gap: 0,
  mip_max_nodes: 20_000,
  output_flag: false,
} as const;

/** Minutes of each pattern of a pool in whole slots, as the program suggests; undefined when it finds nothing. */
export function suggestParts(
  problem: Problem,
  pool: readonly (readonly number[])[],
  solver: LinearSolver,
): Part[] | undefined {
  const solved = solver.solve(minutesProgram(problem, pool), PINNED);
  if (solved.Status !== 'Optimal') return undefined;
  const shares = pool.map((_, k) => solved.Columns[`t${k}`]?.Primal ?? 0);
  const minutes = wholeSlots(shares, problem.minutes, problem.slot);
  return pool.flatMap((digits, k) =>
    itemAt(minutes, k) > 0 ? [{ minutes: itemAt(minutes, k), digits }] : [],
  );
}

/** Rounds minutes to whole slots by largest remainder; the last part takes what is left over. */
export function wholeSlots(shares: readonly number[], minutes: number, slot: number): number[] {
  const slots = Math.max(1, Math.floor(minutes / slot));
  // Ten-thousandths of a slot: the solver's last digits must not decide a remainder.
  const exact = shares.map((share) => Math.round((share / minutes) * slots * 10_000));
  const whole = exact.map((share) => Math.floor(share / 10_000));
  const order = exact
    .map((share, k) => ({ k, rest: share - itemAt(whole, k) * 10_000 }))
    .sort((a, b) => b.rest - a.rest || a.k - b.k);
  let left = slots - whole.reduce((sum, one) => sum + one, 0);
  for (const { k } of order) {
    if (left <= 0) break;
    whole[k] = itemAt(whole, k) + 1;
    left--;
  }
  const found = whole.map((count) => count * slot);
  const last = found.findLastIndex((one) => one > 0);
  found[last] = itemAt(found, last) + minutes - slots * slot;
  return found;
}

/** The program: least light beyond tolerance, with minutes t of each pattern, d and c a zone. */
function minutesProgram(problem: Problem, pool: readonly (readonly number[])[]): string {
  const rows: string[] = [];
  const slacks: string[] = [];
  problem.zones.forEach((zone, n) => {
    if (zone.ask.kind === 'dark') return;
    if (zone.ask.side) slacks.push(`d${n}`);
    slacks.push(`c${n}`);
    const patterns = pool.map((digits) => patternOf(zone, digits));
    for (let bag = 0; bag < zone.table.bags; bag++) rows.push(...bagRows(zone, n, bag, patterns));
  });
  const all = pool.map((_, k) => `t${k}`);
  return [
    'Minimize',
    ` obj: ${slacks.join(' + ') || `0 ${all[0]}`}`,
    'Subject To',
    ` time: ${all.join(' + ')} = ${problem.minutes}`,
    ...rows.map((row, i) => ` r${i}: ${row}`),
    'End',
  ].join('\n');
}

/** The rows of one bag: pull within ten degrees of the side, faces within their ratio. */
function bagRows({ ask, table }: AskedZone, n: number, bag: number, patterns: readonly number[]): string[] {
  if (ask.kind === 'dark') return [];
  const lux = (pattern: number, column: number): number =>
    itemAt(table.sums, (pattern * table.bags + bag) * table.columns + column) / FULL / 100;
  const row = (cost: (pattern: number) => number, slack: string): string =>
    `${patterns.map((pattern, k) => term(cost(pattern), `t${k}`)).join(' ')} - ${slack} <= 0`;
  const { side } = ask;
  if (side === undefined) {
    const most = BALANCE_MOST / 100;
    return Array.from({ length: STEADY_FACES }, (_, i) => {
      const [a, b] = [FACES + i, FACES + (i % 2 === 0 ? i + 1 : i - 1)];
      return row((pattern) => lux(pattern, a) - most * lux(pattern, b), `c${n}`);
    });
  }
  const slope = Math.tan((ANGLE_MOST / 100) * (Math.PI / 180));
  const [nx, ny] = side.normal;
  const dot = (pattern: number): number => lux(pattern, 0) * nx + lux(pattern, 1) * ny;
  const cross = (pattern: number): number => lux(pattern, 0) * ny - lux(pattern, 1) * nx;
  const wanted = ask.contrast / 100;
  return [
    row((pattern) => cross(pattern) - slope * dot(pattern), `d${n}`),
    row((pattern) => -cross(pattern) - slope * dot(pattern), `d${n}`),
    row((pattern) => wanted * lux(pattern, side.opposite) - lux(pattern, side.face), `c${n}`),
  ];
}

const term = (value: number, name: string): string =>
  `${value < 0 ? '-' : '+'} ${Math.abs(value).toFixed(6)} ${name}`;

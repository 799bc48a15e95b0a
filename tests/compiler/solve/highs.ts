/**
 * HiGHS (npm `highs`, WebAssembly): the outside judge of the choice.
 */

/** The part of it that is used: one model in CPLEX LP text in, columns out. */
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

/** Options that make its answer the same everywhere. */
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

/** HiGHS, ready to solve. */
export async function loadSolver(): Promise<LinearSolver> {
  const loaded: unknown = await import('highs');
  // The package's types describe its CommonJS form; imported as a module, the loader is the default export.
  const { default: load } = loaded as { default: () => Promise<LinearSolver> };
  return load();
}

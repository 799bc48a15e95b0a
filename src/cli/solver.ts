/**
 * Loads HiGHS (WebAssembly) for the few plans that need it.
 *
 * Always holds: nothing is loaded before it is asked for.
 */

import type { LinearSolver } from '../../compiler/solve/program.ts';

/** HiGHS, ready to solve. */
export async function loadSolver(): Promise<LinearSolver> {
  const loaded: unknown = await import('highs');
  // The package's types describe its CommonJS form; imported as a module, the loader is the default export.
  const { default: load } = loaded as { default: () => Promise<LinearSolver> };
  return load();
}

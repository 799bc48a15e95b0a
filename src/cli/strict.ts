/** `--strict`: warnings about light become errors. */

import type { Diagnostic } from '../../compiler/diagnostics/diagnostic.ts';

/** Warnings whose codes begin so are about light that the plan asks for and does not get. */
const LIGHT = 'W6';

/** The findings, light warnings raised to errors when `strict`. */
export function withStrictness(diagnostics: readonly Diagnostic[], strict: boolean): readonly Diagnostic[] {
  if (!strict) return diagnostics;
  return diagnostics.map((one) => (one.code.startsWith(LIGHT) ? { ...one, severity: 'error' } : one));
}

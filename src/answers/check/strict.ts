/** `--strict`: warnings about light become errors. */

import type { Finding } from '../../../compiler/findings/finding.ts';

/** Warnings whose codes begin so are about light that the plan asks for and does not get. */
const LIGHT = 'light-';

/** The findings, light warnings raised to errors when `strict`. */
export function withStrictness(findings: readonly Finding[], strict: boolean): readonly Finding[] {
  if (!strict) return findings;
  return findings.map((one) =>
    one.severity === 'warning' && one.code.startsWith(LIGHT) ? { ...one, severity: 'error' } : one,
  );
}

/**
 * Shows a plan's findings, for people and for machines.
 *
 * Always holds: nothing a finding says is lost; machines get the same codes,
 * places and words.
 */

import type { Severity } from '../../compiler/findings/codes.ts';
import type { Finding } from '../../compiler/findings/finding.ts';
import { renderFinding } from '../../compiler/findings/render.ts';
import { coloured, remark } from './terminal.ts';

export interface FoundIn {
  /** The file's name as the grower gave it. */
  readonly file: string;
  /** The text that spans count in. */
  readonly text: string;
}

/** Prints findings to standard error, with a blank line after each; those of `quiet` severities are left out. */
export function tellFindings(
  findings: readonly Finding[],
  { file, text }: FoundIn,
  quiet: readonly Severity[] = [],
): void {
  const colour = coloured(process.stderr);
  for (const finding of findings) {
    if (!quiet.includes(finding.severity)) remark(`${renderFinding(finding, { file, text, colour })}\n`);
  }
}

/**
 * Shows a plan's findings, for people and for machines.
 *
 * Always holds: nothing a finding says is lost; machines get the same codes,
 * places and words.
 */

import type { Severity } from '../../compiler/findings/codes.ts';
import type { Finding } from '../../compiler/findings/finding.ts';
import { harmless } from '../../compiler/findings/harmless.ts';
import { renderFinding } from '../../compiler/findings/render.ts';
import type { Units } from '../../shared/measures.ts';
import { face } from './face.ts';

export interface FoundIn {
  /** The file's name as the grower gave it. */
  readonly file: string;
  /** The text that spans count in. */
  readonly text: string;
  /** The units the plan is written in. */
  readonly units: Units;
}

/**
 * Prints findings with a blank line after each; those of `quiet` severities are left out. They go to standard error,
 * beside the answer, unless they are the answer (`tell`). `more` are lines that end each.
 */
export function tellFindings(
  findings: readonly Finding[],
  { file, text, units }: FoundIn,
  quiet: readonly Severity[] = [],
  tell: 'say' | 'remark' = 'remark',
  more: readonly string[] = [],
): void {
  const colour = face.inColour(tell);
  const told = tell === 'say' ? face.say : face.remark;
  for (const finding of findings) {
    if (!quiet.includes(finding.severity)) {
      const lines = [renderFinding(finding, { file, text, units, colour }), ...more.map(harmless)];
      told(`${lines.join('\n')}\n`);
    }
  }
}

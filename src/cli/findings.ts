/**
 * Shows a plan's findings, for people and for machines.
 *
 * Always holds: nothing a finding says is lost; machines get the same codes,
 * places and words.
 */

import type { Finding, Severity, Span } from '../../compiler/findings/finding.ts';
import { locate, renderFinding } from '../../compiler/findings/render.ts';
import { wordsOf } from '../../compiler/findings/words.ts';
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

/** `2 errors, 1 warning`, or `no findings`. */
export function countWords(findings: readonly Finding[]): string {
  const counts = (['error', 'warning', 'note'] as const).flatMap((severity) => {
    const count = findings.filter((one) => one.severity === severity).length;
    return count === 0 ? [] : [`${count} ${severity}${count === 1 ? '' : 's'}`];
  });
  return counts.join(', ') || 'no findings';
}

/** A finding for machines. */
export function findingJson(finding: Finding, text: string): Readonly<Record<string, unknown>> {
  const { title, message, suggestion } = wordsOf(finding);
  const { code, severity, span, second, facts } = finding;
  return {
    code,
    severity,
    title,
    message,
    ...(suggestion === undefined ? {} : { suggestion }),
    ...place(span, text),
    ...(second ? { second: place(second, text) } : {}),
    facts,
  };
}

function place(span: Span, text: string): { line: number; column: number } | Record<string, never> {
  return span.end === 0 ? {} : locate(text, span.start);
}

/**
 * A plan's findings for machines, and their count in words.
 *
 * Always holds: machines get the same names, places and words as people.
 */

import type { Finding, Span } from '../../../compiler/findings/finding.ts';
import { locate } from '../../../compiler/findings/render.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import type { Units } from '../../../shared/measures.ts';

/** `2 errors, 1 warning`, or `no findings`. */
export function countWords(findings: readonly Finding[]): string {
  const counts = (['error', 'warning', 'note'] as const).flatMap((severity) => {
    const count = findings.filter((one) => one.severity === severity).length;
    return count === 0 ? [] : [`${count} ${severity}${count === 1 ? '' : 's'}`];
  });
  return counts.join(', ') || 'no findings';
}

/** A finding for machines. */
export function findingJson(finding: Finding, text: string, units: Units): Readonly<Record<string, unknown>> {
  const { title, message, suggestion } = wordsOf(finding, units);
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

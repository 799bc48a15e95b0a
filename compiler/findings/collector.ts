/**
 * Collects what is found, in the order of the text, each fact once.
 */

import { type Code, SEVERITIES, type Severity } from './codes.ts';
import type { Fact, Finding, Span } from './finding.ts';

/** Notes one finding; its code says how grave it is. */
export type Report = (
  code: Code,
  span: Span,
  facts?: Readonly<Record<string, Fact>>,
  second?: Span | undefined,
) => void;

/** How grave a code is. */
export function severityOf(code: Code): Severity {
  return SEVERITIES[code];
}

/** Most findings told in one run; a text with more is not a plan. */
const FINDINGS_MAX = 200;

export class Collector {
  private readonly seen = new Set<string>();
  private readonly list: Finding[] = [];

  /** Bound, so that it can be handed on as a function. */
  readonly report: Report = (code, span, facts = {}, second) => {
    const identity = `${code} ${span.start} ${span.end} ${facts.identity ?? facts.key ?? ''}`;
    if (this.seen.has(identity) || this.seen.size > FINDINGS_MAX) return;
    this.seen.add(identity);
    if (this.seen.size > FINDINGS_MAX) {
      this.list.push({ code: 'text-more-findings', severity: 'note', span, facts: { limit: FINDINGS_MAX } });
      return;
    }
    const found = { code, severity: severityOf(code), span, facts };
    this.list.push(second ? { ...found, second } : found);
  };

  get hasErrors(): boolean {
    return this.list.some((found) => found.severity === 'error');
  }

  /** All findings by place in the text. */
  sorted(): Finding[] {
    return [...this.list].sort((a, b) => a.span.start - b.span.start || a.code.localeCompare(b.code));
  }
}

/**
 * Collects what is found, in the order of the text, each fact once.
 */

import type { Diagnostic, Fact, Severity, Span } from './diagnostic.ts';

/** Notes one finding; the letter of the code says how grave it is. */
export type Report = (
  code: string,
  span: Span,
  facts?: Readonly<Record<string, Fact>>,
  second?: Span | undefined,
) => void;

const SEVERITY: Readonly<Record<string, Severity>> = { E: 'error', W: 'warning', N: 'note' };

/** The severity a code's letter stands for. */
export function severityOf(code: string): Severity {
  return SEVERITY[code.slice(0, 1)] ?? 'error';
}

/** Most findings told in one run; a text with more is not a plan. */
const FINDINGS_MAX = 200;

export class Findings {
  private readonly seen = new Set<string>();
  private readonly list: Diagnostic[] = [];

  /** Bound, so that it can be handed on as a function. */
  readonly report: Report = (code, span, facts = {}, second) => {
    const identity = `${code} ${span.start} ${span.end} ${facts.identity ?? facts.key ?? ''}`;
    if (this.seen.has(identity) || this.seen.size > FINDINGS_MAX) return;
    this.seen.add(identity);
    if (this.seen.size > FINDINGS_MAX) {
      this.list.push({ code: 'N199', severity: 'note', span, facts: { limit: FINDINGS_MAX } });
      return;
    }
    const found = { code, severity: severityOf(code), span, facts };
    this.list.push(second ? { ...found, second } : found);
  };

  get hasErrors(): boolean {
    return this.list.some((found) => found.severity === 'error');
  }

  /** All findings by place in the text. */
  sorted(): Diagnostic[] {
    return [...this.list].sort((a, b) => a.span.start - b.span.start || a.code.localeCompare(b.code));
  }
}

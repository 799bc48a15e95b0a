/**
 * Collects what is found, in the order of the text, each fact once.
 */

import { type Code, SEVERITIES, type Severity } from './codes.ts';
import type { FactsOf } from './facts.ts';
import type { Finding, FindingOf, Span } from './finding.ts';

/**
 * Notes one finding; its code says how grave it is. At one place a finding is
 * told once; `identity` tells apart those that are told there for several things.
 */
export type Report = <C extends Code>(
  code: C,
  span: Span,
  facts: FactsOf[C],
  second?: Span | undefined,
  identity?: string,
) => void;

/** How grave a code is. */
export function severityOf(code: Code): Severity {
  return SEVERITIES[code];
}

/** Most findings told in one run; a text with more is not a plan. */
const FINDINGS_MAX = 200;

/** A finding as it is kept. */
function finding<C extends Code>(code: C, span: Span, facts: FactsOf[C], second?: Span): Finding {
  const found: FindingOf<C> = { code, severity: severityOf(code), span, facts, ...(second && { second }) };
  return found as Finding;
}

export class Collector {
  private readonly most: number;
  private readonly seen = new Set<string>();
  private readonly list: Finding[] = [];

  private errors = 0;
  private isCut = false;

  /** At most `most` findings are kept, and as many errors beyond them; then one says that there are more. */
  constructor(most = FINDINGS_MAX) {
    this.most = most;
  }

  /** Bound, so that it can be handed on as a function. */
  readonly report: Report = (code, span, facts, second, identity) => {
    const key = 'key' in facts ? facts.key : undefined;
    const known = `${code} ${span.start} ${span.end} ${identity ?? key ?? ''}`;
    if (this.seen.has(known)) return;
    const isError = severityOf(code) === 'error';
    if ((isError ? this.errors : this.list.length) >= this.most) {
      if (!this.isCut) this.list.push(finding('text-more-findings', span, { limit: this.most }));
      this.isCut = true;
      return;
    }
    this.seen.add(known);
    if (isError) this.errors += 1;
    this.list.push(finding(code, span, facts, second));
  };

  get hasErrors(): boolean {
    return this.errors > 0;
  }

  /** All findings in the order in which they were reported. */
  get all(): readonly Finding[] {
    return this.list;
  }

  /** All findings by place in the text. */
  sorted(): Finding[] {
    return [...this.list].sort((a, b) => a.span.start - b.span.start || a.code.localeCompare(b.code));
  }
}

/** What a check of a whole plan reports, in the order in which it does. */
export function collect(check: (report: Report) => void): readonly Finding[] {
  const collector = new Collector(Number.POSITIVE_INFINITY);
  check(collector.report);
  return collector.all;
}

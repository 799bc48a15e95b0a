/**
 * Says which defaults are poorly founded, and that the room counts as dark.
 */

import type { Report } from '../findings/collector.ts';
import type { Assumption } from '../plan/plan.ts';
import type { Draft } from '../resolve/resolve.ts';

/** One warning for all poorly founded values, one note where no other light is named. */
export function noteAssumptions(draft: Draft, report: Report): void {
  const { context } = draft;
  const place = context.keySpan(context.root, 'leanward');
  const weak = context.assumed.filter(isWeak);
  if (weak.length > 0)
    report('value-assumed', place, { values: weak.map(({ path, value }) => ({ path, value })) });
  if (!context.has(context.root, 'background')) report('room-dark', place, {});
}

/**
 * Whether a value is assumed with low confidence. The likely-lean figures are not among them: they are estimates by
 * nature and are said so where they are printed.
 */
export function isWeak({ path, confidence }: Assumption): boolean {
  return (confidence === 'low' || confidence === 'very low') && !path.startsWith('growth.');
}

/**
 * What follows when a visit of the grow is missed.
 *
 * Always holds: as the list of visits has it: what was missed stays there until
 * it is done or the next of its kind comes; a harvest until it closes.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { sideWord, towardWords } from '../../words/sides.ts';
import { visitKey } from '../visits/outcomes.ts';

/** A visit by its `visitKey`; undefined where the grow has none. */
export const visitOf = (visits: readonly VisitOccurrence[], key: string): VisitOccurrence | undefined =>
  visits.find(({ zone, kind, day }) => visitKey(zone, kind, day) === key);

/** What becomes of a missed visit, in a few sentences. */
export function missedWords(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  missed: VisitOccurrence,
): string {
  const { zone, kind, day, days, batch } = missed;
  const name = itemAt(plan.zones, zone).name;
  const next = visits
    .filter((one) => one.zone === zone && one.kind === kind && one.batch === batch && one.day > day)
    .sort((a, b) => a.day - b.day)[0];
  const due = `The ${kind} in ${name}, due on ${isoDate(day)},`;
  if (kind === 'harvest')
    return `${due} stays open until ${isoDate(civilDay(day + days - 1))}; after that it is told as missed.`;
  const until = next ? `or the next one comes on ${isoDate(next.day)}` : 'for none comes after it';
  return `${due} stays on the list, overdue, until it is done ${until}.${consequence(missed)}`;
}

function consequence({ kind, side }: VisitOccurrence): string {
  if (kind === 'lift') return ' Growth that touches the film by then stays on it.';
  if (kind === 'look') return ' What is to be seen then, such as mould, is seen later.';
  if (kind !== 'turn' || side === undefined) return '';
  return ` Until the bags are turned, their growth is not drawn ${towardWords(sideWord(side))} but goes on as before.`;
}

/**
 * The wire rack with a batch a week: bags colonise and wake elsewhere in the
 * dark, climb and ripen on a deck for four weeks, and the decks take turns.
 * Invented data.
 */

import { compilePlan } from '../../../compiler/compile.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

/** Two years. */
export const WEEKS = 104;

const DECKS = ['A', 'B', 'C', 'D'];
const FIRST_SEALED = sure(dayFromIso('2026-02-16'));
const REGIME = `regimes:
  weekly:
    - { stage: colonise, days: 28 }
    - { stage: climb, days: 21 }
    - { stage: ripen, days: 7 }
`;

/** The plan's text with so many weekly batches written down. */
export function weeklyRack(batches: number): string {
  const wire = samplePlan('wire-rack');
  const sealed = Array.from({ length: batches }, (_, week) => {
    const name = `w${String(week).padStart(3, '0')}`;
    const zone = DECKS[week % DECKS.length];
    return `  ${name}: { sealed: ${isoDate(sealedInWeek(week))}, zones: [${zone}], regime: weekly, enters: climb }`;
  });
  const head = wire.slice(0, wire.indexOf('batches:'));
  const tail = wire
    .slice(wire.indexOf('visits:'))
    .replace('{ from: 90 d, until: 112 d }', '{ from: 49 d, until: 56 d }');
  return [head, REGIME, 'batches:', ...sealed, '', tail].join('\n');
}

/** The civil day on which the batch of a week is sealed. */
export function sealedInWeek(week: number): CivilDay {
  return civilDay(FIRST_SEALED + 7 * week);
}

/** Bytes of the table when the file is compiled in a week, all earlier batches still in it. Throws where it has an error. */
export function weeklySize(week: number): number {
  const { tables, findings } = compilePlan(weeklyRack(week + 1), {
    boards: BOARDS,
    fromDay: sealedInWeek(week),
    advise: false,
  });
  const errors = findings.filter(({ severity }) => severity === 'error').map(({ code }) => code);
  if (errors.length > 0) throw new Error(`week ${week}: ${errors.join(', ')}`);
  return itemAt(tables, 0).costs.total;
}

/**
 * The steps of making a lot: mixing, sterilising, cooling, inoculating.
 *
 * Always holds: a step is told with its times and load, in the order in which
 * steps are made; who did it is not asked.
 */

import { itemAt } from '../../../shared/assert.ts';
import { clockTime, isoDate } from '../../../shared/civil.ts';
import { refused } from '../../failure.ts';
import type { Writing } from './entries.ts';
import type { Note } from './note.ts';
import type { MadeStep } from './sealed.ts';

/** In the order in which they are made. */
export const MADE_STEPS = ['mixed', 'sterilised', 'cooled', 'inoculated'] as const;

export type MadeStepName = (typeof MADE_STEPS)[number];

/** Where a step stands in the order in which they are made. */
const orderOf = ({ stage }: Note): number => MADE_STEPS.indexOf(stage as MadeStepName);

/** The steps of a batch, in the order in which they are made and then of time. */
export function stepsOf(notes: readonly Note[], batch: string): Note[] {
  return notes
    .filter((note) => note.kind === 'made' && note.batch === batch)
    .sort((a, b) => orderOf(a) - orderOf(b) || a.day - b.day || (a.made?.from ?? 0) - (b.made?.from ?? 0));
}

/** The steps in lines: `sterilised 2026-02-15, 14:00 to 16:30, 24 bags`. */
export function stepLines(notes: readonly Note[], batch: string): string[] {
  return stepsOf(notes, batch).map((note) =>
    [`${note.stage ?? ''} ${isoDate(note.day)}`, ...stepParts(note)].join(', '),
  );
}

/** Times, load and words of a step, those that there are. */
export function stepParts({ made, text }: Pick<Note, 'made' | 'text'>): string[] {
  const { from, until, load } = made ?? {};
  const times = from === undefined ? undefined : clockTime(from);
  const span = until === undefined ? times : `${times ?? ''} to ${clockTime(until)}`.trim();
  const next = from !== undefined && until !== undefined && until <= from ? `${span} (the next day)` : span;
  return [next, load, text].filter((part) => part !== undefined);
}

/** The entry of a step of a batch (index). */
export function madeEntry(
  writing: Writing,
  notes: readonly Note[],
  batch: number,
  step: MadeStepName,
  made: MadeStep,
  text: string | undefined,
): Note {
  const { plan, name, day, nowMs, newId } = writing;
  const { name: batchName, sealed } = itemAt(plan.batches, batch);
  if (day > sealed) {
    throw refused(
      `${batchName} was sealed on ${isoDate(sealed)}, so it was not ${step} on ${isoDate(day)}.`,
      'Check the day, or `sealed` in the plan.',
    );
  }
  const at = MADE_STEPS.indexOf(step);
  for (const other of stepsOf(notes, batchName)) {
    const before = orderOf(other) < at;
    if (before ? other.day > day : other.stage !== step && other.day < day) {
      throw refused(
        `${batchName} was ${other.stage ?? ''} on ${isoDate(other.day)}, so it was not ${step} on ${isoDate(day)}.`,
        'Check the day; the order is mixed, sterilised, cooled, inoculated.',
      );
    }
  }
  return {
    ...{ id: newId(), plan: name, batch: batchName, zone: '', bag: '', day, writtenMs: nowMs },
    ...{ kind: 'made', why: undefined, stage: step, made, text },
  };
}

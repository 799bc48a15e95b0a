/**
 * Entries of what was seen to begin: knobs, first colour, or a stage.
 *
 * Always holds: a thing begins once for a bag, and once for a batch.
 */

import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { refused, usage } from '../../failure.ts';
import { list } from '../../words/lists.ts';
import type { BagLife } from '../bags/lives.ts';
import { entryAbout, refuseUnlessStood, type Writing } from './entries.ts';
import type { Note } from './note.ts';
import { begunWord } from './words.ts';

/** Signs that a grower sees, and the stage of the built-in regime that begins with each. */
export const SIGNS: Readonly<Record<string, string>> = { knobs: 'climb', colour: 'ripen' };

/** The sign or stage that a word names, for a batch (index). */
export function begunNamed({ plan }: Writing, batch: number, word: string): string {
  const what = word === 'color' ? 'colour' : word;
  const stages = stagesOf({ plan }, batch);
  if (what in SIGNS || stages.includes(what)) return what;
  throw usage(
    `'${word}' is neither a sign nor a stage of ${itemAt(plan.batches, batch).name}.`,
    `Write one of ${list([...Object.keys(SIGNS), ...stages])}.`,
  );
}

/** The stage that begins with it; undefined where the batch's regimes have none of that name. */
export function stageBegun(writing: Pick<Writing, 'plan'>, batch: number, what: string): string | undefined {
  const stage = SIGNS[what] ?? what;
  return stagesOf(writing, batch).includes(stage) ? stage : undefined;
}

function stagesOf({ plan }: Pick<Writing, 'plan'>, batch: number): string[] {
  const names = itemAt(plan.batches, batch).zones.flatMap(({ stages }) => stages.map(({ name }) => name));
  return [...new Set(names)].filter((name) => name !== 'keep');
}

/** Of one bag. */
export function bagBegan(writing: Writing, life: BagLife, what: string): Note {
  refuseUnlessStood(writing, life);
  refuseTwice(life.name, life.began.find((one) => one.ofBag && one.what === what)?.day, what);
  return { ...entryAbout(writing, life, 'began'), stage: what };
}

/** Of a whole batch (index). */
export function batchBegan(writing: Writing, notes: readonly Note[], batch: number, what: string): Note {
  const { plan, name, day, nowMs, newId } = writing;
  const { name: batchName, sealed } = itemAt(plan.batches, batch);
  if (day < sealed) {
    throw refused(`${batchName} was sealed on ${isoDate(sealed)}, after ${isoDate(day)}.`, 'Check the day.');
  }
  const before = notes.find(
    ({ kind, bag, stage, batch: of }) => kind === 'began' && bag === '' && of === batchName && stage === what,
  );
  refuseTwice(batchName, before?.day, what);
  return {
    ...{ id: newId(), plan: name, batch: batchName, zone: '', bag: '', day, writtenMs: nowMs },
    ...{ kind: 'began', why: undefined, stage: what },
  };
}

function refuseTwice(of: string, day: Note['day'] | undefined, what: string): void {
  if (day === undefined) return;
  throw refused(
    `Of ${of} the book says already: ${begunWord(what)}, ${isoDate(day)}.`,
    'If that is wrong, take it back first: note PLAN --withdraw ID.',
  );
}

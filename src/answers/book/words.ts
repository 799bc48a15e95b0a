/** Entries of the grow book in words, one line each. */

import { isoDate } from '../../../shared/civil.ts';
import { harvestWords, sizeWords, type Units } from '../../../shared/measures.ts';
import { sideWord, towardWords } from '../../words/sides.ts';
import { stepParts } from './made.ts';
import type { Note } from './note.ts';

/** How much of a note's id is shown: enough to withdraw it by. */
const ID_SHOWN = 8;

/** The lines, in the order given. */
export function noteLines(notes: readonly Note[], units: Units): string[] {
  return notes.map((note) => `${lineToCome(note, units)}  [${note.id.slice(0, ID_SHOWN)}]`);
}

/** The line of an entry that is not written yet, so that nobody can take it back by its id. */
export const lineToCome = (note: Note, units: Units): string =>
  `${isoDate(note.day)}  ${aboutWords(note)}  ${noteWords(note, units)}`;

/** What an entry is about: the bag, its batch, or the rack. */
export const noteAbout = ({ bag, batch }: Pick<Note, 'bag' | 'batch'>): string =>
  bag || batch || 'the whole rack';

/** The same with the place: `spring-07 (A-3)`. */
function aboutWords(note: Note): string {
  const { batch, zone, bag, number, position } = note;
  if (bag === '') return noteAbout(note);
  if (number === undefined) return `${bag} (${batch})`;
  return position === undefined ? bag : `${bag} (${zone}-${position})`;
}

/** What an entry says. */
export function noteWords(note: Note, units: Units): string {
  const parts = [
    eventWords(note, units),
    note.heightMm !== undefined && `${sizeWords(note.heightMm, units)} high`,
    note.leanDeg !== undefined && leanWords(note.leanDeg, note.leanSideDeg),
    note.kind !== 'harvest' && note.massG !== undefined && harvestWords(note.massG, units),
    note.photo !== undefined && `photo ${note.photo}`,
    note.text,
  ];
  return parts.filter(Boolean).join(', ');
}

function leanWords(degrees: number, side: number | undefined): string {
  const toward = side === undefined ? '' : ` ${towardWords(sideWord(side))}`;
  return `leans ${round(degrees)}°${toward}`;
}

function eventWords(note: Note, units: Units): string | false {
  switch (note.kind) {
    case 'note':
      return false;
    case 'cull':
      return `culled (${note.why ?? 'other'})`;
    case 'harvest':
      return yieldWords(note, units);
    case 'move':
      return note.to ? `moved to ${note.to.zone}-${note.to.position}` : 'moved';
    case 'began':
      return `${begunWord(note.stage ?? '')}`;
    case 'made':
      return madeWords(note);
    case 'sealed':
      return 'sealed: bag sheet kept';
  }
}

function yieldWords({ massG, dryG, together = 1 }: Note, units: Units): string {
  const fresh = massG === undefined ? [] : [`${harvestWords(massG, units)} fresh`];
  const dry = dryG === undefined ? [] : [`${harvestWords(dryG, units)} dry`];
  const share = together > 1 ? ` (its share of ${together} bags weighed together)` : '';
  return `harvested, ${[...fresh, ...dry].join(', ')}${share}`;
}

/** `knobs seen`, `first colour`, `climb began`. */
export function begunWord(what: string): string {
  if (what === 'knobs') return 'knobs seen';
  return what === 'colour' ? 'first colour' : `${what} began`;
}

function madeWords({ stage = 'made', made }: Note): string {
  return [stage, ...stepParts({ made, text: undefined })].join(', ');
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

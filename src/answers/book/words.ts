/** Notes in words, one line each. */

import { isoDate } from '../../../shared/civil.ts';
import { harvestWords, sizeWords, type Units } from '../../../shared/measures.ts';
import type { Note } from './note.ts';

/** How much of a note's id is shown: enough to withdraw it by. */
const ID_SHOWN = 8;

/** The lines, in the order given. */
export function noteLines(notes: readonly Note[], units: Units): string[] {
  return notes.map((note) => {
    const parts = [
      note.kind === 'cull' && `taken out (${note.why ?? 'other'})`,
      note.heightMm !== undefined && `${sizeWords(note.heightMm, units)} high`,
      note.leanDeg !== undefined && `leans ${round(note.leanDeg)}°`,
      note.massG !== undefined && `${harvestWords(note.massG, units)} harvested`,
      note.photo !== undefined && `photo ${note.photo}`,
      note.text,
    ].filter(Boolean);
    return `${isoDate(note.day)}  ${note.bag} (${note.batch})  ${parts.join(', ')}  [${note.id.slice(0, ID_SHOWN)}]`;
  });
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

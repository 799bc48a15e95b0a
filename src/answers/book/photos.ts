/**
 * The photos that the grow book names, by bag and day: listed, and on a page.
 *
 * Always holds: a photo whose picture is not at hand is still named; nothing is
 * loaded from elsewhere.
 */

import { isoDate } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { html, type Markup } from '../../page/html.ts';
import type { Note } from './note.ts';
import { noteAbout } from './words.ts';

/** A photo that an entry names. */
export interface BookPhoto {
  /** The bag's name; of what was of no single bag, the batch or the rack in words. */
  readonly bag: string;
  readonly day: CivilDay;
  /** Its name in the photo folder. */
  readonly file: string;
}

/** Pictures by the name they have in the photo folder, as `data:` addresses. */
export type Pictures = ReadonlyMap<string, string>;

/** The photos of entries, by bag, each bag's in order of time. */
export function photosOf(notes: readonly Note[]): BookPhoto[] {
  const found = notes.flatMap((note) =>
    note.photo === undefined ? [] : [{ bag: noteAbout(note), day: note.day, file: note.photo }],
  );
  return found.sort((a, b) => compare(a.bag, b.bag) || a.day - b.day);
}

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/** More bags than these have no line each. */
const BAGS_SHOWN = 12;

/** A line a bag with the days of its photos; of many bags only how many there are. */
export function photoLines(photos: readonly BookPhoto[]): string[] {
  if (photos.length === 0) return [];
  const bags = [...new Set(photos.map(({ bag }) => bag))];
  if (bags.length > BAGS_SHOWN)
    return [`Photos: ${photos.length} of ${bags.length} bags; --page shows them.`];
  return [
    'Photos (--page shows them):',
    ...bags.map((bag) => {
      const days = photos.filter((one) => one.bag === bag).map(({ day }) => isoDate(day));
      return `  ${bag}: ${days.join(', ')}`;
    }),
  ];
}

/** The photos with bag and date below each; undefined where there are none. */
export function photoFigures(photos: readonly BookPhoto[], pictures: Pictures): Markup | undefined {
  if (photos.length === 0) return undefined;
  const figures = photos.map(({ bag, day, file }) => {
    const picture = pictures.get(file);
    const words = `${bag}, ${isoDate(day)}`;
    return picture === undefined
      ? html`<p>${words}: ${file} (not in this page)</p>`
      : html`<figure><img src="${picture}" alt="${words}"><figcaption>${words}</figcaption></figure>`;
  });
  return html`<div class="photos">${figures}</div>`;
}

/** What a page with photos needs of style. */
export const PHOTO_STYLE = `
.photos { display: flex; flex-wrap: wrap; gap: 1rem; }
.photos p { overflow-wrap: anywhere; }
.photos figure { margin: 0; width: 14rem; break-inside: avoid; }
.photos img { width: 100%; height: auto; }
.photos figcaption { color: var(--soft); font-size: 0.85rem; }
`;

/**
 * Photos of the grow book, copied beside the archive so that they stay with it.
 *
 * Always holds: a photo is kept whole or not at all, under a name that says its
 * bag and day; one that is there is never written over.
 */

import { existsSync, rmSync } from 'node:fs';
import { extname, join } from 'node:path';
import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { refused } from '../failure.ts';
import { makeFolder, readBytes, readPlainFile, writeFileSafely } from './files.ts';

/** What a photo's name is made of. */
interface PhotoOf {
  readonly id: string;
  readonly bag: string;
  readonly day: CivilDay;
}

/** Where a plan's archive lies, and the plan itself. */
interface BookPlace {
  readonly path: string;
  readonly place: string;
}

/** The folder of a plan's photos: beside the archive, or beside the plan where that is no file. */
export function photoFolder({ path, place }: BookPlace): string {
  if (place.includes('://')) return `${path.replace(/(?:\.plan)?\.ya?ml$/, '')}.photos`;
  return `${place.replace(/\.archive\.sqlite$|\.sqlite$/, '')}.photos`;
}

/** A photo as it came: what it is called in words, and its bytes. */
export interface PhotoToKeep {
  readonly file: string;
  readonly bytes: Uint8Array;
}

/** A photo that is a file. */
export function photoFile(file: string): PhotoToKeep {
  if (!existsSync(file)) throw refused(`There is no photo ${file}.`, 'Check the name and the folder.');
  return { file, bytes: readBytes(file) };
}

/** Copies a photo there; `remove` takes the copy away again. */
export function keepPhoto(
  book: BookPlace,
  { file, bytes }: PhotoToKeep,
  { id, bag, day }: PhotoOf,
): { readonly name: string; readonly remove: () => void } {
  if (!isPicture(bytes))
    throw refused(`${file} is no photo that a page can show.`, 'Take JPEG, PNG, WebP or GIF.');
  const folder = photoFolder(book);
  makeFolder(folder);
  const ending = /^\.[a-z]{2,5}$/i.test(extname(file)) ? extname(file).toLowerCase() : '.jpg';
  const name = `${bag.replace(/[^\p{L}\p{N}_-]/gu, '_')}.${isoDate(day)}.${id.slice(0, 8)}${ending}`;
  const path = join(folder, name);
  writeFileSafely(path, bytes);
  return { name, remove: () => rmSync(path, { force: true }) };
}

/** Copies photos into another book's folder, those that are there. */
export function copyPhotos(from: BookPlace, to: BookPlace, files: readonly string[]): void {
  for (const file of files) {
    const bytes = readPlainFile(photoFolder(from), file, PICTURES_BYTES_MAX);
    if (!bytes) continue;
    makeFolder(photoFolder(to));
    writeFileSafely(join(photoFolder(to), file), bytes);
  }
}

/** How a picture's file begins: JPEG, PNG, GIF, and WebP within RIFF (each by its own specification). */
function isPicture(bytes: Uint8Array): boolean {
  const start = Buffer.from(bytes.subarray(0, 12)).toString('latin1');
  return /^(?:\xff\xd8\xff|\x89PNG\r\n|GIF8)/.test(start) || /^RIFF.{4}WEBP/s.test(start);
}

/** A photo by its name in the folder; undefined where there is none that a page can show. */
export function keptPhoto(
  book: BookPlace,
  name: string,
): { readonly type: string; readonly bytes: Uint8Array } | undefined {
  const bytes = readPlainFile(photoFolder(book), name, PICTURES_BYTES_MAX);
  return bytes && isPicture(bytes) ? { type: typeOf(bytes), bytes } : undefined;
}

/** A page with more than this in pictures is no page to mail. */
const PICTURES_BYTES_MAX = 30 * 1_048_576;

/** Kept photos as `data:` addresses by name; those that are gone, or too many for one page, are left out. */
export function picturesOf(book: BookPlace, files: readonly string[]): Map<string, string> {
  const pictures = new Map<string, string>();
  let left = PICTURES_BYTES_MAX;
  for (const file of files) {
    const bytes = readPlainFile(photoFolder(book), file, left);
    if (!bytes) continue;
    left -= bytes.length;
    pictures.set(file, `data:${typeOf(bytes)};base64,${Buffer.from(bytes).toString('base64')}`);
  }
  return pictures;
}

function typeOf(bytes: Uint8Array): string {
  const first = bytes[0];
  if (first === 0xff) return 'image/jpeg';
  if (first === 0x89) return 'image/png';
  return first === 0x47 ? 'image/gif' : 'image/webp';
}

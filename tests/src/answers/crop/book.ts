/** A grow book for the tests of the crop: entries about the bags of the season's plan. */

import { readFileSync } from 'node:fs';
import { type BagLife, bagLives } from '../../../../src/answers/bags/lives.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { day, planOf } from '../visits/plan.ts';

/** The plan of `npm run season`: lots `spring` and `march`, twelve bags each; zones A and D sway, B and E hold left, C and F upright. */
export const SEASON_TEXT = readFileSync(
  new URL('../../../../src/cli/scripts/season.plan.yaml', import.meta.url),
  'utf8',
);
export const season = planOf(SEASON_TEXT);

let ids = 0;

/** An entry about a bag (`spring-02`) or a batch (`spring`). */
export function entry(about: string, kind: Note['kind'], iso: string, more: Partial<Note> = {}): Note {
  const [batch = '', number] = about.split('-');
  ids += 1;
  return {
    ...{ id: String(ids), plan: 'season', batch, zone: '', kind, day: day(iso), writtenMs: ids },
    ...(number === undefined ? { bag: '' } : { bag: about, number: Number(number) }),
    why: kind === 'cull' ? 'mould' : undefined,
    ...more,
  };
}

/** Harvests of bags `first`, `first` + 1 … of a batch, one mass each. */
export const harvests = (batch: string, first: number, iso: string, masses: readonly number[]): Note[] =>
  masses.map((massG, i) => entry(`${batch}-${first + i}`, 'harvest', iso, { massG }));

/** The bags of some batch. */
export const livesOf = (notes: readonly Note[], batch?: string): BagLife[] =>
  bagLives(season, notes).filter(({ name }) => batch === undefined || name.startsWith(`${batch}-`));

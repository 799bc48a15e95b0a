/** The boards of `boards/`, read and validated, for tests. */

import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { type Board, boardSchema } from '../../shared/board.ts';

const folder = new URL('../../boards/', import.meta.url);

/** All boards by id. */
export const BOARDS: Readonly<Record<string, Board>> = Object.fromEntries(
  readdirSync(folder)
    .filter((id) => existsSync(new URL(`${id}/board.json`, folder)))
    .map((id) => [
      id,
      boardSchema.parse(JSON.parse(readFileSync(new URL(`${id}/board.json`, folder), 'utf8'))),
    ]),
);

/** The text of a sample plan, such as `pantry`. */
export function samplePlan(name: string): string {
  return readFileSync(new URL(`../../shared/plans/${name}.plan.yaml`, import.meta.url), 'utf8');
}

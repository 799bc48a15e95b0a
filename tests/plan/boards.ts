/** The boards, as the plan's tests hand them to the reader. */

import { readdirSync, readFileSync } from 'node:fs';
import { type Board, boardSchema } from '../../shared/board.ts';

const folder = new URL('../../boards/', import.meta.url);
const ids = readdirSync(folder).filter((name) => name.startsWith('mega328'));

export const boards: Readonly<Record<string, Board>> = Object.fromEntries(
  ids.map((id) => [
    id,
    boardSchema.parse(JSON.parse(readFileSync(new URL(`${id}/board.json`, folder), 'utf8'))),
  ]),
);

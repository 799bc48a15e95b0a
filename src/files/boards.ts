/**
 * The boards that plans may name, checked.
 *
 * Always holds: ids and numbers are unique.
 */

import { type Board, boardSchema } from '../../shared/board.ts';
import { BOARD_FILES } from './board-facts.ts';

let checked: readonly Board[] | undefined;

/** All boards. */
export function allBoards(): readonly Board[] {
  checked ??= BOARD_FILES.map((file) => boardSchema.parse(file));
  return checked;
}

/** A board by its id. */
export function boardById(id: string): Board | undefined {
  return allBoards().find((board) => board.id === id);
}

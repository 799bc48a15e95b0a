/**
 * What the commands need to know of each board without checking its whole
 * description.
 *
 * Always holds: the numbers are those of `boards/*`; a board added there is
 * added here and in `boards.ts`.
 */

import dim6 from '../../boards/mega328-dim6/board.json' with { type: 'json' };
import relay4 from '../../boards/mega328-relay4-dim2/board.json' with { type: 'json' };
import relay8 from '../../boards/mega328-relay8/board.json' with { type: 'json' };
import type { BoardFacts } from '../answers/status/status.ts';

/** The descriptions as they stand in the files. */
export const BOARD_FILES = [relay8, relay4, dim6] as const;

/** The board that reports `number` over the link. */
export function boardByNumber(number: number): BoardFacts | undefined {
  const file = BOARD_FILES.find((board) => board.number === number);
  if (!file) return undefined;
  const { id, title, outputs, supply } = file;
  return { id, title, number, outputs: outputs.length, supplyNeeded: supply.neededMillivolts };
}

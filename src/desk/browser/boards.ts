/** The boards that plans may name, for the page's workers. */

import dim6 from '../../../boards/mega328-dim6/board.json' with { type: 'json' };
import relay4 from '../../../boards/mega328-relay4-dim2/board.json' with { type: 'json' };
import relay8 from '../../../boards/mega328-relay8/board.json' with { type: 'json' };
import { type Board, boardSchema } from '../../../shared/board.ts';

/** By id. */
export const BOARDS_BY_ID: Readonly<Record<string, Board>> = Object.fromEntries(
  [relay8, relay4, dim6].map((file) => [file.id, boardSchema.parse(file)]),
);

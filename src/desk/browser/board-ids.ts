/** The ids of the boards that plans may name, without their descriptions. */

import dim6 from '../../../boards/mega328-dim6/board.json' with { type: 'json' };
import relay4 from '../../../boards/mega328-relay4-dim2/board.json' with { type: 'json' };
import relay8 from '../../../boards/mega328-relay8/board.json' with { type: 'json' };

export const BOARD_IDS: readonly string[] = [relay8.id, relay4.id, dim6.id];

/** A schedule table without any section, for tests to put in what they are about. */

import type { Table } from '../../shared/table.ts';
import { civilDay } from '../../shared/units.ts';

/** Based on a civil day (days since 2000-01-01). */
export const emptyTable = (baseDay: number, digest = 1): Table => ({
  ...{ baseDay: civilDay(baseDay), digest, initialQuarters: 0, changes: [] },
  ...{ patterns: [], tracks: [], bindings: [] },
  ...{ limits: undefined, visits: undefined, pulse: undefined, room: undefined },
});

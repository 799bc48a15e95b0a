/** An open run archive, as everything that reads or writes one sees it. */

import type { Kysely } from 'kysely';
import type { ArchiveTables } from './schema.ts';

/** An open archive. `db` is the query layer, the same for both kinds. */
export interface Archive {
  readonly kind: 'sqlite' | 'postgres';
  /** Without a password; fit to be shown. */
  readonly place: string;
  readonly db: Kysely<ArchiveTables>;
  close(): Promise<void>;
}

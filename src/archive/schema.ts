/**
 * The run archive's tables as the query layer sees them; `README.md` explains
 * every column to someone who reads the file with other tools.
 *
 * Always holds: times of the host are milliseconds since 1970 (`…_ms`), times
 * of a controller are its own UTC seconds since 2000 (`…_s`); flags are 0 or 1;
 * nothing is ever changed or deleted except gaps that were filled.
 */

export interface ArchiveTables {
  readonly schema_version: SchemaVersionRow;
  readonly controllers: ControllerRow;
  readonly records: RecordRow;
  readonly gaps: GapRow;
  readonly connections: ConnectionRow;
  readonly flashed_tables: FlashedTableRow;
  readonly flashes: FlashRow;
  readonly notes: NoteRow;
  readonly corrections: CorrectionRow;
}

export interface SchemaVersionRow {
  readonly version: number;
  readonly applied_ms: number;
}

export interface ControllerRow {
  /** The number the host gave the controller at its first flash; never 0. */
  readonly identity: number;
  /** Its name in the plan, when known. */
  readonly name: string | null;
  readonly seen_ms: number;
}

export interface RecordRow {
  readonly identity: number;
  readonly sequence: number;
  /** The 16 bytes as the controller gave them. */
  readonly raw: Uint8Array;
  /** Type number, as `shared/log-format.md` has it. */
  readonly type: number;
  readonly partial: number;
  readonly estimated: number;
  /** Civil day of a day record, UTC day of an event, both since 2000-01-01. */
  readonly day: number;
  /** UTC second of an event; null for day records. */
  readonly utc_s: number | null;
  /** The decoded body as JSON. */
  readonly body: string;
}

export interface GapRow {
  readonly identity: number;
  /** First and last sequence number that were never read. */
  readonly first: number;
  readonly last: number;
  readonly noticed_ms: number;
}

export interface ConnectionRow {
  readonly identity: number;
  readonly host_ms: number;
  readonly controller_s: number;
  /** 1/256 s. */
  readonly controller_sub: number;
  readonly known: number;
  readonly estimated: number;
  /** 1 when the host set the controller's clock right after this reading. */
  readonly set_after: number;
  /** The newest sequence number on the controller then. */
  readonly newest: number;
}

export interface FlashedTableRow {
  readonly identity: number;
  /** CRC-32 of the table, the same number the log's table records carry. */
  readonly crc: number;
  readonly bytes: Uint8Array;
  /** The plan's text it was compiled from, when handed over. */
  readonly plan_text: string | null;
  readonly stored_ms: number;
}

/** A table was put on a controller and confirmed there. */
export interface FlashRow {
  readonly identity: number;
  readonly host_ms: number;
  readonly crc: number;
}

export interface NoteRow {
  readonly id: string;
  readonly plan: string;
  readonly batch: string;
  /** The zone that the bag stood in; empty for a whole batch. */
  readonly zone: string;
  /** The bag's name, such as `spring-07`; its place (`A2`) in entries of version 1; empty for a whole batch. */
  readonly bag: string;
  /** Civil day the entry is about. */
  readonly day: number;
  readonly written_ms: number;
  /** `note`, `cull`, `harvest`, `move`, `began`, `made`, `sealed` or `withdraw` (which names another in `refers`). */
  readonly kind: string;
  readonly refers: string | null;
  readonly height_mm: number | null;
  readonly lean_deg: number | null;
  readonly photo: string | null;
  /** Of a harvest, the fresh mass. */
  readonly mass_g: number | null;
  readonly why: string | null;
  readonly text: string | null;
  /** The bag's number in its batch, from 1, and its position in the zone; null in entries of version 1. */
  readonly number: number | null;
  readonly position: number | null;
  /** The side it leans to, azimuth in degrees. */
  readonly lean_side_deg: number | null;
  readonly dry_g: number | null;
  /** Bags weighed together, of which `mass_g` is one share. */
  readonly together: number | null;
  readonly to_zone: string | null;
  readonly to_position: number | null;
  /** The stage that began, or the step that was made. */
  readonly stage: string | null;
  /** JSON: times and load of a step, what a batch was when it was sealed, or the day that the plan had before for a stage or for a zone's end. */
  readonly body: string | null;
}

export interface CorrectionRow {
  readonly id: string;
  readonly plan: string;
  readonly zone: string;
  /** Visit kind: look, lift, turn, harvest. */
  readonly kind: string;
  /** Civil day on which the visit was due. */
  readonly due_day: number;
  /** `done` or `undone`. */
  readonly outcome: string;
  readonly why: string | null;
  readonly written_ms: number;
  /** Civil day on which the work was done; null in corrections of versions before 4. */
  readonly done_day: number | null;
}

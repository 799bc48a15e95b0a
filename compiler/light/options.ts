/**
 * What the light field takes beside the plan.
 */

export interface FieldOptions {
  /** Texts of `.ies` files by the name the plan gives; lamps whose file is missing or bad shine as drawn. */
  readonly photometry?: Readonly<Record<string, string>> | undefined;
  /** Shares of light that boards and a card behind the rack throw back once; left out, nothing is thrown back. */
  readonly bounce?: Bounce | undefined;
}

/** Shares of light thrown back, 0–1. */
export interface Bounce {
  /** By solid boards, above and below. */
  readonly boards: number;
  /** By a card behind the rack. */
  readonly card: number;
}

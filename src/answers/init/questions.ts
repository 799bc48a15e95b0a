/**
 * What a first plan asks of the grower: the questions and their usual answers,
 * on a terminal and on the desk alike.
 */

/** Most shelves a first plan is made for. */
export const MOST_SHELVES = 6;

/** The questions, as they are asked. */
export const QUESTIONS = {
  shelves: 'How many shelves?',
  units: 'Inches or millimetres (in, mm)?',
  sealed: 'On which day are the first bags sealed?',
} as const;

/**
 * The file that a grower's name for a plan means; undefined where it is none of the folder: empty, hidden, or with
 * a path.
 */
export function planFileName(typed: string): string | undefined {
  const name = typed.trim();
  if (!/^[^./\\][^/\\]*$/.test(name)) return undefined;
  return /\.ya?ml$/i.test(name) ? name : `${name}.plan.yaml`;
}

/** The name of the computer's own time zone. */
export function systemZone(): string {
  return Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
}

/** Inches where racks are sold by the inch. */
export function usualUnits(timezone: string): 'in' | 'mm' {
  return /^(America|US|Canada)\//.test(timezone) ? 'in' : 'mm';
}

/**
 * The stages of the built-in regime in words: what the trade calls them, and what
 * bags are doing in them.
 *
 * Always holds: a stage that the grower named otherwise keeps that name.
 */

interface StageWords {
  readonly trade: string;
  readonly doing: string;
}

const STAGES: Readonly<Record<string, StageWords>> = {
  colonise: { trade: 'spawn run', doing: 'colonising' },
  wake: { trade: 'primordia', doing: 'waking' },
  climb: { trade: 'elongation', doing: 'climbing' },
  ripen: { trade: 'maturation', doing: 'ripening' },
};

/** `wake (primordia)`; `sprint`. */
export function stageWithTrade(stage: string): string {
  const trade = STAGES[stage]?.trade;
  return trade === undefined ? stage : `${stage} (${trade})`;
}

/** `climbing`; `in stage sprint`. */
export function doingWords(stage: string): string {
  return STAGES[stage]?.doing ?? `in stage ${stage}`;
}

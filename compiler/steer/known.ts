/**
 * What choosing has worked out already: sums of light, costs of patterns, answers and figures.
 *
 * Always holds: everything is kept by all that it depends on, told by the light itself, so that
 * a plan and its variations that share their light (`KnownLight`) share this too.
 */

import type { KnownLight } from '../light/known.ts';
import type { ZoneMemo } from '../solve/asked.ts';
import { KnownSums } from '../solve/patterns.ts';
import type { CellAnswer } from '../solve/problem.ts';
import { KnownFigures } from './figures.ts';

export class KnownChoices {
  readonly sums = new KnownSums();
  /** Costs of patterns, by what is asked and what is summed. */
  readonly costs = new Map<string, Pick<ZoneMemo, 'alike' | 'costs'>>();
  /** Answers, by the question's text. */
  readonly answers = new Map<string, CellAnswer>();
  readonly figures = new KnownFigures();
}

const all = new WeakMap<KnownLight, KnownChoices>();

/** What is known to all fields that share their light. */
export function choicesOf(light: KnownLight): KnownChoices {
  const known = all.get(light) ?? new KnownChoices();
  all.set(light, known);
  return known;
}

/**
 * Which rows of a comparison differ, and how sure that is.
 *
 * Always holds: all comparisons of a review together are to hold with 95 %, so
 * each alone is made with more (Bonferroni); a difference whose interval holds
 * zero is none that these bags can show. Zones are compared only where bags
 * differ in no treatment: else it would be the treatments once more.
 */

import type { BagLife } from '../bags/lives.ts';
import type { CropFigures } from './figures.ts';
import { type Interval, meanDifference, type Sample, shareDifference, USUAL_SURENESS } from './intervals.ts';
import { alsoDiffer, type Division, type Factor, type KnownTraits } from './treatments.ts';

/** What rows are compared in. */
export const MEASURES = ['freshG', 'growth', 'knobsDays', 'leanDeg', 'lost'] as const;

export type Measure = (typeof MEASURES)[number];

export interface Row {
  readonly label: string;
  readonly lives: readonly BagLife[];
  readonly figures: CropFigures;
}

export interface SideBySide {
  readonly division: Division;
  readonly rows: readonly Row[];
}

export interface Comparison {
  readonly factors: readonly Factor[];
  readonly measure: Measure;
  readonly a: string;
  readonly b: string;
  /** Bags that have the measure on either side. */
  readonly bags: readonly [a: number, b: number];
  /** How far a lies above b; undefined: too few bags to tell. */
  readonly difference: Interval | undefined;
  readonly isClear: boolean;
  /** What else the two differ in, so that it may be the cause as well. */
  readonly also: readonly Factor[];
}

/** With more rows than this each is held against all the others together, not against each of them. */
const MOST_IN_PAIRS = 4;

interface Pair {
  readonly table: SideBySide;
  readonly a: Row;
  readonly b: Row;
}

/** All comparisons that tables allow; `figuresOf` works out those of bags put together. */
export function comparisonsOf(
  tables: readonly SideBySide[],
  traits: KnownTraits,
  figuresOf: (lives: readonly BagLife[]) => CropFigures,
): Comparison[] {
  const treatments = tables.filter(
    ({ division: { factors } }) => !isOf(factors, 'lot') && !isOf(factors, 'zone'),
  );
  const asked = tables
    .filter(({ division: { factors } }) => treatments.length === 0 || !isOf(factors, 'zone'))
    .flatMap((table) => pairsOf(table, figuresOf))
    .flatMap((pair) => MEASURES.map((measure) => ({ pair, measure })))
    .filter(({ pair: { a, b }, measure }) => countOf(a, measure) > 0 && countOf(b, measure) > 0);
  const made = asked.filter(({ pair, measure }) => differenceOf(pair, measure, USUAL_SURENESS) !== undefined);
  const sureness = 1 - (1 - USUAL_SURENESS) / Math.max(1, made.length);
  return asked.map(({ pair, measure }) => comparisonOf(pair, measure, sureness, traits));
}

/** A division is named by its first factor. */
const isOf = (factors: readonly Factor[], factor: Factor): boolean => factors[0] === factor;

function pairsOf(table: SideBySide, figuresOf: (lives: readonly BagLife[]) => CropFigures): Pair[] {
  const { rows } = table;
  if (rows.length <= MOST_IN_PAIRS) {
    return rows.flatMap((a, i) => rows.slice(i + 1).map((b) => ({ table, a, b })));
  }
  return rows.map((a) => {
    const lives = rows.flatMap((row) => (row === a ? [] : row.lives));
    return { table, a, b: { label: 'the others', lives, figures: figuresOf(lives) } };
  });
}

function comparisonOf(
  { table, a, b }: Pair,
  measure: Measure,
  sureness: number,
  traits: KnownTraits,
): Comparison {
  const { division } = table;
  const difference = differenceOf({ a, b }, measure, sureness);
  return {
    ...{ factors: division.factors, measure, a: a.label, b: b.label, difference },
    bags: [countOf(a, measure), countOf(b, measure)],
    isClear: difference !== undefined && (difference.low > 0 || difference.high < 0),
    also: alsoDiffer(traits, division, a.lives, b.lives),
  };
}

function differenceOf(
  { a, b }: Pick<Pair, 'a' | 'b'>,
  measure: Measure,
  sureness: number,
): Interval | undefined {
  if (measure === 'lost') return shareDifference(a.figures.lost, b.figures.lost, sureness);
  const [x, y]: readonly (Sample | undefined)[] = [a.figures[measure], b.figures[measure]];
  const difference = x && y && meanDifference(x, y, sureness);
  // Leans lie between upright and lying down to either side: an interval as wide tells nothing.
  const isVoid = measure === 'leanDeg' && difference && difference.high - difference.low > 180;
  return isVoid ? undefined : difference;
}

function countOf({ figures }: Row, measure: Measure): number {
  return measure === 'lost' ? figures.lost.of : (figures[measure]?.bags ?? 0);
}

/** One measured figure of the bench, and what it is held to. */
export interface Row {
  readonly name: string;
  /** As printed. */
  readonly value: string;
  /** The limit in words, when there is one. */
  readonly limit?: string;
  /** False: the limit is missed. */
  readonly met?: boolean;
}

/** A row from a number and its upper (or lower) limit. */
export function row(
  name: string,
  value: number,
  unit: string,
  limit?: { most?: number; least?: number },
): Row {
  const shown =
    `${Math.abs(value) >= 100 ? Math.round(value) : Math.round(value * 100) / 100} ${unit}`.trim();
  if (limit?.most !== undefined)
    return { name, value: shown, limit: `≤ ${limit.most} ${unit}`, met: value <= limit.most };
  if (limit?.least !== undefined)
    return { name, value: shown, limit: `≥ ${limit.least} ${unit}`, met: value >= limit.least };
  return { name, value: shown };
}

/** The middle of several measurements. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}

/** Milliseconds of `work`, the median of several runs after one that is not counted. */
export function milliseconds(runs: number, work: () => void): number {
  work();
  const times: number[] = [];
  for (let run = 0; run < runs; run++) {
    const start = performance.now();
    work();
    times.push(performance.now() - start);
  }
  return median(times);
}

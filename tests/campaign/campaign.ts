/**
 * What a campaign is, and how one case of it is run: a seed and a number make
 * a case, always the same one, so that a finding can be replayed alone.
 */

import { type Chance, draw } from '../../firmware-sim/world/random.ts';

/** A row of hostile cases of one sort. */
export interface Campaign {
  readonly name: string;
  /** What is done, and what must hold, in a line. */
  readonly about: string;
  /** What `run` counts, such as `frames`. */
  readonly unit: string;
  /** Its part of the time, against the others'. */
  readonly share: number;
  /** Units that half an hour of all campaigns tries at the least, however slow the computer is. */
  readonly least?: number;
  /** Cases of its slice; CI runs the first half. */
  readonly slice: number;
  /** Programs of Debian's that it needs. */
  readonly needs?: readonly string[];
  /** Makes what all cases need; what it returns takes it down again. */
  readonly prepare?: () => Promise<() => Promise<void>>;
  /** What some of the units are besides, such as `second by second`. */
  readonly also?: string;
  /** Runs one case; gives what it tried. Throws when something does not hold. */
  readonly run: (chance: Chance, index: number) => Promise<number | Tried> | number | Tried;
}

/** So many units, and how many of these were `also`. */
export interface Tried {
  readonly units: number;
  readonly also: number;
}

/** What did not hold in a case. */
export interface Finding {
  /** Replays the case: `npm run campaign -- ID`. */
  readonly id: string;
  readonly what: string;
}

/** One line of the summary. */
export interface Result {
  readonly name: string;
  readonly cases: number;
  readonly units: number;
  readonly unit: string;
  /** How many of the units were what: `[25, 'second by second']`. */
  readonly also?: readonly [count: number, what: string];
  readonly seconds: number;
  readonly findings: readonly Finding[];
}

/** Findings told of one campaign; more of them only echo. */
const FINDINGS_MAX = 20;

/** The chance of one case. Two cases that differ in any part share nothing. */
export function chanceOf(name: string, seed: number, index: number): Chance {
  // FNV-1a over the id (Fowler, Noll, Vo; 32 bits).
  let state = 0x811c9dc5;
  for (const sign of idOf(name, seed, index)) {
    state = Math.imul(state ^ sign.charCodeAt(0), 0x01000193) >>> 0;
  }
  const chance = { state };
  for (let warm = 0; warm < 8; warm++) draw(chance, 2);
  return chance;
}

/** What names a case. */
export function idOf(name: string, seed: number, index: number): string {
  return `${name}:${seed}:${index}`;
}

/** The parts of an id; undefined when it is none. */
export function readId(text: string): { name: string; seed: number; index: number } | undefined {
  const [, name, seed, index] = /^([a-z-]+):(\d+):(\d+)$/.exec(text) ?? [];
  if (name === undefined) return undefined;
  return { name, seed: Number(seed), index: Number(index) };
}

/** Runs cases from `first` on, each `step`-th, until `enough` says so. */
export async function runCampaign(
  campaign: Campaign,
  seed: number,
  first: number,
  enough: (cases: number, units: number) => boolean,
  step = 1,
): Promise<Result> {
  const began = performance.now();
  const findings: Finding[] = [];
  let units = 0;
  let also = 0;
  let cases = 0;
  const takeDown = await campaign.prepare?.();
  try {
    for (; !enough(cases, units) && findings.length < FINDINGS_MAX; cases++) {
      const index = first + step * cases;
      try {
        const tried = await campaign.run(chanceOf(campaign.name, seed, index), index);
        units += typeof tried === 'number' ? tried : tried.units;
        also += typeof tried === 'number' ? 0 : tried.also;
      } catch (error) {
        const what = error instanceof Error ? (error.stack ?? error.message) : String(error);
        findings.push({ id: idOf(campaign.name, seed, index), what });
      }
    }
  } finally {
    await takeDown?.();
  }
  const seconds = (performance.now() - began) / 1000;
  const besides = campaign.also === undefined ? {} : { also: [also, campaign.also] as const };
  return { name: campaign.name, cases, units, unit: campaign.unit, ...besides, seconds, findings };
}

/** The results of several processes that ran every so-manieth case each, as one. */
export function merged(parts: readonly (readonly Result[])[]): Result[] {
  const names = [...new Set(parts.flat().map(({ name }) => name))];
  return names.map((name) => {
    const own = parts.flat().filter((one) => one.name === name);
    const sum = (of: (one: Result) => number): number => own.reduce((all, one) => all + of(one), 0);
    const also = own[0]?.also;
    return {
      ...(also ? { also: [sum((one) => one.also?.[0] ?? 0), also[1]] as const } : {}),
      ...{ name, unit: own[0]?.unit ?? '', cases: sum((one) => one.cases), units: sum((one) => one.units) },
      seconds: Math.max(...own.map((one) => one.seconds)),
      findings: own.flatMap((one) => one.findings),
    };
  });
}

/** One of several, by chance. */
export function pick<T>(chance: Chance, from: readonly T[]): T {
  const found = from[draw(chance, from.length)];
  if (found === undefined && from.length === 0) throw new Error('nothing to pick from');
  return found as T;
}

/** Throws with `words` unless it holds. */
export function hold(it: boolean, words: string | (() => string)): asserts it {
  if (!it) throw new Error(typeof words === 'string' ? words : words());
}

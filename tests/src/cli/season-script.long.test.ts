/**
 * `npm run season`, with every figure of the crop it ends with worked out here
 * anew from what was typed (`season.json`), and what befell the rack found in
 * its review and in the record of the lot.
 */

import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { jsonOf } from './run.ts';

interface Step {
  readonly run?: readonly string[];
  readonly day?: string;
}

const scripts = new URL('../../../src/cli/scripts/', import.meta.url);
const steps: readonly Step[] = JSON.parse(readFileSync(new URL('season.json', scripts), 'utf8'));
const SEALED: Readonly<Record<string, string>> = { spring: '2026-02-16', march: '2026-03-02' };
const daysBetween = (from: string, to: string): number => (Date.parse(to) - Date.parse(from)) / 86_400_000;

/** What was typed about one bag. */
interface Typed {
  readonly name: string;
  readonly lot: string;
  /** The treatment it stood in, by its number: four bags each; one was moved. */
  readonly lean: string;
  readonly zone: string;
  fresh?: number;
  dry?: number;
  together?: boolean;
  knobs?: number;
  ofBatch?: boolean;
  cull?: number;
  readonly heights: [day: number, mm: number][];
  lean34?: readonly [degrees: number, side: string];
}

const SWAY = 'sway left and right, 7 d each';
const bags = new Map<string, Typed>();
for (const [l, lot] of ['spring', 'march'].entries()) {
  for (let n = 1; n <= 12; n++) {
    const name = `${lot}-${String(n).padStart(2, '0')}`;
    const third = Math.floor((n - 1) / 4);
    const isMoved = name === 'spring-12';
    const lean = itemAt([SWAY, 'hold left', 'upright'], third);
    const zone =
      itemAt(
        [
          ['A', 'B', 'C'],
          ['D', 'E', 'F'],
        ],
        l,
      )[third] ?? '';
    bags.set(name, {
      ...{ name, lot, lean: isMoved ? `upright, then ${SWAY}` : lean, heights: [] },
      zone: isMoved ? 'C, then A' : zone,
    });
  }
}
const bag = (name: string): Typed => sure(bags.get(name));
const numbers = (text: string): number[] => [...text.matchAll(/[\d.]+/g)].map(([one]) => Number(one));

for (const { run = [], day = '' } of steps) {
  const [command, ...words] = run;
  const option = (name: string): string | undefined =>
    words.includes(name) ? words[words.indexOf(name) + 1] : undefined;
  const named = words.filter((word) => bags.has(word));
  if (command === 'began') {
    const whole = words.includes('march') ? [...bags.values()].filter(({ lot }) => lot === 'march') : [];
    for (const one of [...named.map(bag), ...whole]) {
      one.knobs = daysBetween(sure(SEALED[one.lot]), day);
      one.ofBatch = whole.length > 0;
    }
  }
  if (command === 'cull') bag(sure(named[0])).cull = Math.floor(daysBetween('2026-02-16', day) / 7) + 1;
  if (command === 'note') {
    const one = bag(sure(named[0]));
    const [height, lean] = [option('--height'), option('--lean')];
    if (height) one.heights.push([daysBetween('2026-02-16', day), sure(numbers(height)[0])]);
    if (lean) one.lean34 = [sure(numbers(lean)[0]), sure(lean.split(' ').at(-1))];
  }
  if (command === 'harvest') {
    const [fresh, dry] = [option('--fresh'), option('--dry')].map((text) => text && numbers(text));
    const isTogether = words.includes('--together');
    named.forEach((name, i) => {
      if (fresh) bag(name).fresh = isTogether ? itemAt(fresh, 0) / named.length : itemAt(fresh, i);
      if (dry) bag(name).dry = itemAt(dry, i);
      if (isTogether) bag(name).together = true;
    });
  }
}

/** Two-sided 95 % points of Student's t (NIST/SEMATECH e-Handbook 1.3.6.7.2), by degrees of freedom. */
const T = [12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179];

/** Mean and interval of observations, each of so many bags. */
function mean(observed: readonly (readonly [value: number, bags: number])[]) {
  const all = observed.reduce((sum, [, k]) => sum + k, 0);
  if (all === 0) return null;
  const middle = observed.reduce((sum, [value, k]) => sum + value * k, 0) / all;
  const squares = observed.reduce((sum, [value, k]) => sum + k * (value - middle) ** 2, 0);
  const freedom = observed.length - 1;
  const half =
    freedom > 0 && squares > 1e-12 ? itemAt(T, freedom - 1) * Math.sqrt(squares / freedom / all) : undefined;
  return {
    mean: middle,
    bags: all,
    low: half === undefined ? null : middle - half,
    high: half === undefined ? null : middle + half,
  };
}

function share(count: number, of: number) {
  if (of === 0) return null;
  const [z, p] = [1.959964, count / of];
  const half = z * Math.sqrt((p * (1 - p)) / of + (z * z) / (4 * of * of));
  const whole = 1 + (z * z) / of;
  const middle = p + (z * z) / (2 * of);
  return { count, of, low: Math.max(0, (middle - half) / whole), high: Math.min(1, (middle + half) / whole) };
}

const DRY_MIX_G = 2200 * 0.4;
const each = (some: readonly Typed[], of: (one: Typed) => number | undefined): [number, number][] =>
  some.flatMap((one) => {
    const value = of(one);
    return value === undefined ? [] : [[value, 1] as [number, number]];
  });

/** The row that these bags should have. */
function expected(some: readonly Typed[]) {
  const alone = some.filter(({ together }) => !together);
  const together = some.filter((one) => one.together);
  const masses = (of: (one: Typed) => number | undefined): [number, number][] => [
    ...each(alone, of),
    ...(together.length > 0 && of(itemAt(together, 0)) !== undefined
      ? [[sure(of(itemAt(together, 0))), together.length] as [number, number]]
      : []),
  ];
  const whole = some.filter(({ ofBatch }) => ofBatch);
  const knobs: [number, number][] = [
    ...each(
      some.filter(({ ofBatch }) => ofBatch === false),
      ({ knobs: day }) => day,
    ),
    ...(whole.length > 0 ? [[sure(itemAt(whole, 0).knobs), whole.length] as [number, number]] : []),
  ];
  const culled = some.filter(({ cull }) => cull !== undefined);
  const held = some.filter((one) => one.lean34 && one.lean === 'hold left');
  const free = some.filter((one) => one.lean34 && one.lean !== 'hold left');
  const left = ({ lean34 }: Typed): number => sure(lean34)[0] * (sure(lean34)[1] === 'left' ? 1 : Number.NaN);
  const sum = (of: (one: Typed) => number | undefined): number =>
    some.reduce((total, one) => total + (of(one) ?? 0), 0);
  return {
    bags: some.map(({ name }) => name),
    standing: 0,
    harvested: some.filter(({ fresh }) => fresh !== undefined).length,
    losses: culled.length > 0 ? [{ why: 'mould', weeks: culled.map(({ cull }) => cull) }] : [],
    weighedAcross: 0,
    lost: share(culled.length, some.length),
    knobsDays: mean(knobs),
    growthMmPerDay: mean(
      each(some, ({ heights: [a, b] }) => (a && b ? (b[1] - a[1]) / (b[0] - a[0]) : undefined)),
    ),
    leanDeg: mean(each(held, left)),
    leanReached: share(held.length, held.length),
    offUprightDeg: mean(each(free, ({ lean34 }) => lean34?.[0])),
    freshG: mean(masses(({ fresh }) => fresh)),
    dryG: mean(masses(({ dry }) => dry)),
    efficiency: mean(masses(({ fresh }) => fresh && fresh / DRY_MIX_G)),
    dryYield: mean(masses(({ dry }) => dry && dry / DRY_MIX_G)),
    isMixAssumed: false,
    totalFreshG: sum(({ fresh }) => fresh),
    totalDryG: sum(({ dry }) => dry),
  };
}

type Json = Record<string, unknown>;

/** Numbers to the third digit after the point, as the JSON has them, give or take the last of the table's. */
function near(value: unknown, wanted: unknown, path: string): void {
  if (typeof wanted === 'number') {
    expect(typeof value, path).toBe('number');
    expect(Math.abs(Number(value) - wanted), `${path}: ${value} for ${wanted}`).toBeLessThan(
      0.001 + Math.abs(wanted) * 2e-4,
    );
  } else if (wanted !== null && typeof wanted === 'object') {
    for (const [key, one] of Object.entries(wanted))
      near((value as Json | null)?.[key], one, `${path}.${key}`);
  } else expect(value, path).toEqual(wanted);
}

describe('the season', () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-season-script-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  let review: Json;
  beforeAll(() => {
    const script = fileURLToPath(new URL('season.js', scripts));
    const ran = spawnSync(process.execPath, [script, '--json', '--keep', folder], {
      encoding: 'utf8',
      maxBuffer: 1 << 28,
    });
    expect(ran.status, ran.stderr).toBe(0);
    review = jsonOf('review', ran.stdout);
  });

  it('ends with a comparison whose every figure follows from what was typed', () => {
    const { comparisons } = review.crop as { comparisons: { by: string[]; rows: Json[] }[] };
    expect(comparisons.map(({ by }) => by[0])).toEqual(['lot', 'lean', 'zone']);
    for (const { by, rows } of comparisons) {
      const key = itemAt(by, 0) as 'lot' | 'lean' | 'zone';
      const labels = [...new Set([...bags.values()].map((one) => one[key]))];
      expect(rows.map(({ label }) => label).sort()).toEqual([...labels].sort());
      for (const { label, ...row } of rows) {
        const wanted = expected([...bags.values()].filter((one) => one[key] === label));
        expect(Object.keys(row).sort()).toEqual(Object.keys(wanted).sort());
        near(row, wanted, `${key} ${label}`);
      }
    }
  });

  it('says for the next time what these masses say, and no more', () => {
    const { nextTime } = review.crop as { nextTime: string[] };
    const clear = nextTime.filter((words) => words.includes('gave') || words.includes('sooner than'));
    expect(clear).toHaveLength(2);
    for (const words of clear)
      expect(words).toMatch(/hold left gave \d+ to \d+ g more fresh mass a bag than (sway|upright)/);
    const rate = mean(
      each([...bags.values()], ({ heights: [a, b] }) => (a && b ? (b[1] - a[1]) / (b[0] - a[0]) : undefined)),
    );
    expect(nextTime.join('\n')).toContain(`Growth was ${Number(sure(rate).mean.toFixed(1))} mm a day`);
  });

  it('has the two missed lifts, the power cut and the lost clock in its review', () => {
    const incidents = review.incidents as {
      kind: string;
      zone?: string;
      visit?: string;
      at: string;
      from?: string;
      answer?: string;
    }[];
    const missed = incidents.filter(({ kind, answer }) => kind === 'visit' && answer === 'missed');
    expect(missed.map(({ zone, visit, at }) => `${visit} ${zone} ${at.slice(0, 10)}`)).toEqual([
      'lift A 2026-04-24',
      'lift E 2026-04-28',
    ]);
    const outages = incidents.filter(({ kind }) => kind === 'outage');
    expect(outages.map(({ from }) => from?.slice(0, 10) ?? null)).toEqual(['2026-04-25', null]);
    expect(incidents.some(({ kind, at }) => kind === 'clock' && at.startsWith('2026-05-11'))).toBe(true);
    // Wake 14 days of 8 h, climb 42 of 12 h, ripen from 11 to 31 May: 868 h; from 9 to 15 on 25 April it was dark.
    const [a] = review.zones as {
      zone: string;
      planned: number;
      visits: Json;
      days: { day: string; lost: { off: number } }[];
    }[];
    expect(a?.planned).toBeCloseTo(868, 0);
    expect(a?.days.find(({ day }) => day === '2026-04-25')?.lost.off).toBeCloseTo(6, 1);
    expect(a?.visits.missed).toBe(1);
  });

  it('has a record of the lot with what was done to it', () => {
    const record = readFileSync(join(folder, 'spring.html'), 'utf8');
    const total = [...bags.values()].reduce(
      (sum, { lot, fresh }) => sum + (lot === 'spring' ? (fresh ?? 0) : 0),
      0,
    );
    for (const said of ['2026-02-16', 'quay red', 'spring-03', 'mould', `${total} g`])
      expect(record).toContain(said);
  });
});

/**
 * Whole grows of 26 weeks from plans made by chance, followed from change to
 * change: what the plan intends (Temporal on the resolved plan), what the
 * TypeScript evaluates from the table's bytes, and what the C core does.
 *
 * What must hold: all three agree on every output at each second at which any
 * of them changes, and at the second before; every thirtieth grow at each second
 * of its 26 weeks.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { compilePlan } from '../../compiler/compile.ts';
import { planDays } from '../../compiler/plan/on-a-day.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import { coreWith, levelsAt } from '../boards/firmware/core-table.ts';
import { intendedLight, type Lit } from '../equivalence/intent.ts';
import { ZONES } from '../equivalence/zones.ts';
import { hex } from '../firmware-sim/controller/vectors.ts';
import { BOARDS } from '../support/boards.ts';
import { type Campaign, hold, pick } from './campaign.ts';

const DAY = 86_400;
const WEEKS = 26;
/** One in so many is followed second by second. */
const SECOND_BY_SECOND = 30;
const FIRMWARE = fileURLToPath(new URL('../../boards/firmware/', import.meta.url));
let folder = '';

const clock = (chance: Chance): string =>
  `${String(draw(chance, 24)).padStart(2, '0')}:${String(5 * draw(chance, 12)).padStart(2, '0')}`;

function lean(chance: Chance): string {
  const every = 2 + draw(chance, 9);
  return pick(chance, [
    'upright',
    '{ hold: left }',
    '{ hold: right }',
    `{ sway: [left, right], every: ${every} d }`,
    `{ wind: [left, back, right], every: ${every} d }`,
    `{ sway: [left, right], every: ${every} d, by: turning }`,
  ]);
}

/** Stages that together last 26 weeks. */
function stages(chance: Chance): string[] {
  const names = ['wake', 'climb', 'branch', 'ripen'];
  let left = WEEKS * 7;
  return names.map((name, i) => {
    const days = i === names.length - 1 ? left : 7 + draw(chance, 45);
    left -= days;
    if (i === 0 && draw(chance, 2) === 0) return `    - { stage: ${name}, days: ${days}, light: none }`;
    const hours = draw(chance, 6) === 0 ? 24 : 1 + draw(chance, 23);
    return `    - { stage: ${name}, days: ${days}, photoperiod: ${hours} h, start: ${clock(chance)}, level: [1 lx, 100000 lx], lean: ${lean(chance)} }`;
  });
}

function planText(chance: Chance): string {
  const zones = ['A', 'B', 'C'].slice(0, 1 + draw(chance, 3));
  const base = 9500 + draw(chance, 730);
  return [
    'leanward: 1',
    `place: { timezone: ${pick(chance, ZONES)} }`,
    ...(draw(chance, 4) === 0 ? ['clock: steady'] : []),
    `controllers: { rack: { board: ${pick(chance, ['mega328-relay8', 'mega328-dim6'])} } }`,
    'shelves:',
    ...zones.map(
      (zone, at) => `  ${zone}s: { height: ${at * 700 + 300} mm, size: [900 mm, 400 mm], clear: 600 mm }`,
    ),
    'zones:',
    ...zones.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
    'lamps:',
    ...zones.flatMap((zone, at) => [
      `  ${zone}-left: { beside: ${zone}, side: left, output: ${at * 2 + 1}, flux: 400 lm }`,
      `  ${zone}-right: { beside: ${zone}, side: right, output: ${at * 2 + 2}, flux: 400 lm }`,
    ]),
    'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
    'regimes:',
    '  own:',
    ...stages(chance),
    'batches:',
    ...zones.map(
      (zone) =>
        `  b${zone}: { sealed: ${isoDate(civilDay(base + draw(chance, 30)))}, zones: [${zone}], regime: own }`,
    ),
    '',
  ].join('\n');
}

const { core, open } = coreWith();

/** Output bytes that the intent asks for at an instant. */
function intended(lit: readonly (readonly Lit[])[], utc: number): string {
  return hex(
    lit.map((output) =>
      output.reduce((byte, one) => (one.from <= utc && utc < one.until ? Math.max(byte, one.byte) : byte), 0),
    ),
  );
}

function* instants(
  lit: readonly (readonly Lit[])[],
  changes: readonly { utc: number }[],
  from: number,
  until: number,
) {
  const edges = [...lit.flat().flatMap((one) => [one.from, one.until]), ...changes.map(({ utc }) => utc)];
  const all = new Set(edges.flatMap((utc) => [utc - 1, utc]).filter((utc) => utc >= from && utc < until));
  yield* [...all].sort((a, b) => a - b);
}

function agree(text: string, eachSecond: boolean): void {
  const { plan, timeline, tables } = compilePlan(text, { boards: BOARDS, advise: false });
  const table = tables[0];
  const days = plan && planDays(plan);
  hold(
    plan !== undefined && timeline !== undefined && table !== undefined && days !== undefined,
    () => `no table:\n${text}`,
  );
  const { bytes } = table.encoded;
  const [from, until] = [(days.first - 1) * DAY, (days.end + 1) * DAY];
  const lit = Array.from({ length: 8 }, (_, at) => intendedLight(plan.timezone, timeline.days, 0, at + 1));
  hold(open(bytes), 'the core refuses the table');
  const changes = [...traceTable(bytes, from, until)];
  let at = 0;
  const compare = (utc: number, wanted: string): void => {
    while ((changes[at + 1]?.utc ?? until) <= utc) at++;
    const shown = hex(changes[at]?.levels ?? new Uint8Array(8));
    const own = levelsAt(core, utc);
    const all = shown === own && wanted === own;
    hold(all, () => `at ${utc}: intended ${wanted}, TypeScript ${shown}, core ${own}\n${text}`);
  };
  for (const utc of instants(lit, changes, from, until)) compare(utc, intended(lit, utc));
  if (eachSecond) walk(bytes, changes, from, until);
}

/** Second by second: the core as a native program, and TypeScript. */
function walk(
  bytes: Uint8Array,
  changes: readonly { utc: number; levels: Uint8Array }[],
  from: number,
  until: number,
): void {
  const words = [hex(bytes), String(from), String(until)];
  const told = execFileSync(join(folder, 'walk'), words, { encoding: 'utf8', maxBuffer: 64e6 });
  const seen = changes.filter(({ utc }) => utc > from && utc < until);
  const first = changes.findLast(({ utc }) => utc <= from)?.levels ?? new Uint8Array(8);
  const wanted = [`${from} ${hex(first)}`, ...seen.map(({ utc, levels }) => `${utc} ${hex(levels)}`)];
  const shown = told.trimEnd().split('\n');
  const at = wanted.findIndex((line, i) => line !== shown[i]);
  hold(at < 0, () => `TypeScript ${wanted[at]}, core ${shown[at]}`);
  hold(shown.length === wanted.length, () => `the core changes once more: ${shown[wanted.length]}`);
}

export const grows: Campaign = {
  name: 'grows',
  about: 'seeded 26-week grows by next change: intent, TypeScript and C core agree; some second by second',
  unit: 'grows',
  also: 'second by second',
  share: 18,
  least: 1000,
  slice: 12,
  needs: ['gcc', 'make'],
  async prepare() {
    folder = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
    execFileSync('make', ['-s', `OUT=${folder}`, join(folder, 'walk')], { cwd: FIRMWARE, stdio: 'pipe' });
    return async () => rmSync(folder, { recursive: true, force: true });
  },
  run(chance, index) {
    const eachSecond = index % SECOND_BY_SECOND === 0;
    agree(planText(chance), eachSecond);
    return { units: 1, also: eachSecond ? 1 : 0 };
  },
};

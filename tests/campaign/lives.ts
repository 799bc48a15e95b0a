/**
 * Whole seasons on racks made by chance: a plan is flashed to a virtual
 * controller, weeks pass with power cuts and dead batteries, bags are noted,
 * culled, moved, harvested and taken back, and after each step somebody looks
 * with one of the commands that only look.
 *
 * What must hold: no command ends in an error of Leanward's own; one that only
 * looks always answers, and its JSON reads; what a command wrote into the plan
 * compiles.
 */

import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readPlan } from '../../compiler/read-plan.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { dayFromIso, isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import { ZONES } from '../equivalence/zones.ts';
import { BOARDS } from '../support/boards.ts';
import { type Campaign, hold, pick } from './campaign.ts';

const LAUNCHER = fileURLToPath(new URL('../../src/leanward.js', import.meta.url));
const STEPS = 12;
/** Old enough that whole lives are over by this computer's day. */
const SEALED = sure(dayFromIso('2025-02-01'));
const NAMES = ['A', 'B2', 'low left', 'shelf-3', 'Ö'];

const often = (chance: Chance, of: number): boolean => draw(chance, of) === 0;
const day = (after: number): string => isoDate(civilDay(SEALED + after));

interface Rack {
  readonly text: string;
  readonly zones: readonly string[];
  readonly batches: readonly string[];
}

/** A rack and its season; metric or US, one board or two, names that are awkward. */
function rackOf(chance: Chance): Rack {
  const us = often(chance, 2);
  const size = (mm: number): string => (us ? `${(mm / 25.4).toFixed(1)} in` : `${mm} mm`);
  const zones = NAMES.slice(0, 1 + draw(chance, 4));
  const stage = (name: string, days: number): string => {
    const lean = pick(chance, [
      'upright',
      '{ hold: left }',
      `{ sway: [left, right], every: ${2 + draw(chance, 9)} d }`,
    ]);
    const lift = often(chance, 2) ? '' : `, lift: { every: ${2 + draw(chance, 5)} d }`;
    const keep = often(chance, 3) ? (us ? ', keep: [65 F, 78 F]' : ', keep: [18 C, 25 C]') : '';
    return `{ stage: ${name}, days: ${days}, photoperiod: ${4 + draw(chance, 12)} h, lean: ${lean}${lift}${keep} }`;
  };
  const own = often(chance, 2);
  const batches = zones.map((_, at) => `lot${at + 1}`);
  const lines = [
    'leanward: 1',
    `place: { timezone: ${pick(chance, ZONES)} }`,
    ...(often(chance, 3) ? ['clock: steady'] : []),
    `controllers: { rack: { board: ${pick(chance, ['mega328-relay8', 'mega328-dim6'])} } }`,
    'shelves:',
    ...zones.map(
      (_, at) =>
        `  s${at}: { height: ${size(300 + at * 700)}, size: [${size(900 + draw(chance, 600))}, ${size(350 + draw(chance, 200))}], clear: ${size(600)} }`,
    ),
    'zones:',
    ...zones.map(
      (zone, at) => `  "${zone}": { shelf: s${at}, bags: [${1 + draw(chance, 4)}, ${1 + draw(chance, 2)}] }`,
    ),
    'lamps:',
    ...zones.flatMap((zone, at) =>
      at < 3
        ? ['left', 'right'].map(
            (side, n) =>
              `  l${at}${side}: { beside: "${zone}", side: ${side}, output: ${at * 2 + n + 1}, flux: ${200 + draw(chance, 800)} lm${often(chance, 3) ? ', colour: 455 nm' : ''} }`,
          )
        : [],
    ),
    `bags: { tall: { footprint: [${size(200)}, ${size(120)}], height: ${size(480)}, fill: ${us ? '5 lb' : '2.2 kg'} } }`,
    ...(own
      ? [
          'regimes:',
          '  own:',
          `    - { stage: colonise, days: ${10 + draw(chance, 20)}, light: none }`,
          `    - ${stage('wake', 5 + draw(chance, 15))}`,
          `    - ${stage('climb', 20 + draw(chance, 40))}`,
          `    - ${stage('mine', 5 + draw(chance, 20))}`,
        ]
      : []),
    'batches:',
    ...batches.map(
      (batch, at) =>
        `  ${batch}: { sealed: ${day(draw(chance, 30))}, zones: ["${zones[at]}"]${own ? ', regime: own' : ''} }`,
    ),
    ...(often(chance, 2) ? [`visits: { away: [[${day(60)}, ${day(60 + draw(chance, 12))}]] }`] : []),
    '',
  ];
  return { text: lines.join('\n'), zones, batches };
}

interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

function leanward(words: readonly string[], cwd: string): Promise<Ended> {
  return new Promise((resolve) => {
    const child = execFile(
      process.execPath,
      [LAUNCHER, ...words],
      { cwd, encoding: 'utf8', maxBuffer: 1 << 26, env: { ...process.env, TZ: 'UTC' } },
      (_, out, err) => resolve({ code: child.exitCode, out, err }),
    );
    child.stdin?.end();
  });
}

const PLAN = 'rack.plan.yaml';
const PORT = ['--port', 'virtual:rack.json'];

/** Something that changes the season, up to `now` days after the first sealing. */
function deed(chance: Chance, { zones, batches }: Rack, now: number): string[] {
  const batch = pick(chance, batches);
  const bag = `${batch}-0${1 + draw(chance, 3)}`;
  const zone = pick(chance, zones);
  const on = ['--day', day(20 + draw(chance, now - 19))];
  return pick(chance, [
    () => ['log', PLAN, ...PORT, '--advance', `${1 + draw(chance, 40)}d`],
    () => [
      'log',
      PLAN,
      ...PORT,
      '--advance',
      '9d',
      '--event',
      `${day(now + 2)} 09:00 cut ${1 + draw(chance, 60)}h`,
    ],
    () => ['log', PLAN, ...PORT, '--advance', '9d', '--event', `${day(now + 2)} 09:00 clock stopped`],
    () => ['flash', PLAN, ...PORT, '--drop-days', '--yes'],
    () => ['note', PLAN, bag, '--height', '4 cm', '--lean', '20 deg left', 'seen', ...on],
    () => ['note', PLAN, pick(chance, [batch, 'the room smells of rain']), 'dry air', ...on],
    () => [
      'cull',
      PLAN,
      bag,
      '--why',
      pick(chance, ['mould', 'leak', 'dry']),
      ...on,
      ...(often(chance, 2) ? ['--end'] : []),
    ],
    () => ['harvest', PLAN, bag, '--fresh', '85 g', ...on, ...(often(chance, 2) ? ['--end'] : [])],
    () => ['harvest', PLAN, `${batch}-01`, `${batch}-02`, '--fresh', '160 g', '--together', ...on, '--end'],
    () => ['move', PLAN, bag, '--to', zone, ...on],
    () => ['move', PLAN, bag, '--swap', `${pick(chance, batches)}-01`, ...on],
    () => ['began', PLAN, pick(chance, ['knobs', 'colour']), batch, ...on],
    () => ['made', PLAN, batch, pick(chance, ['mixed', 'sterilised']), '--load', '24 bags', ...on],
    () => ['visits', PLAN, '--done', zone, pick(chance, ['look', 'lift', 'harvest']), ...on],
    () => ['visits', PLAN, '--undo', zone, pick(chance, ['look', 'lift']), ...on],
    () => ['batch', PLAN, '--zones', zone, '--sealed', day(150 + draw(chance, 60)), '--name', `next${now}`],
  ])();
}

/** Something that only looks. */
const look = (chance: Chance, { batches }: Rack, now: number): string[] =>
  pick(chance, [
    () => ['check', PLAN, '--json'],
    () => ['check', PLAN, '--page', 'check.html'],
    () => ['light', PLAN, '--json'],
    () => ['light', PLAN],
    () => ['simulate', PLAN, '--json'],
    () => ['visits', PLAN, '--json'],
    () => ['visits', PLAN, '--day', day(now), '--ics', 'rack.ics', '--card', 'card.html'],
    () => ['review', PLAN, '--json'],
    () => ['review', PLAN, '--page', 'review.html'],
    () => ['review', PLAN, '--lot', pick(chance, batches), '--json'],
    () => ['review', PLAN, '--lot', pick(chance, batches), '--page', 'lot.html'],
    () => ['prep', PLAN, '--json'],
    () => ['labels', PLAN, '--page', 'labels.html', '--json'],
    () => ['note', PLAN, '--json'],
    () => ['cull', PLAN],
    () => ['status', ...PORT, '--plan', PLAN, '--json'],
    () => ['log', ...PORT, '--plan', PLAN, '--json'],
  ])();

const told = (words: readonly string[], { code, out, err }: Ended): string =>
  `leanward ${words.join(' ')}\n  ended with ${code}\n${err.slice(-1500)}${out.slice(-500)}`;

/** Runs a command that must not fail by our own fault. */
async function tried(words: readonly string[], cwd: string): Promise<Ended> {
  const ended = await leanward(words, cwd);
  const isOwn =
    ended.code === null || ended.code === 70 || /inside Leanward itself|^ {4}at /m.test(ended.err);
  hold(!isOwn, () => told(words, ended));
  return ended;
}

async function live(chance: Chance, cwd: string): Promise<number> {
  const rack = rackOf(chance);
  writeFileSync(join(cwd, PLAN), rack.text);
  const checked = await tried(['check', PLAN], cwd);
  // What chance drew may be refused, in words; it is then no season.
  if (checked.code !== 0) return 1;
  await tried(['flash', PLAN, ...PORT, '--at', day(0), '--yes'], cwd);
  await tried(['log', PLAN, ...PORT, '--advance', '45d'], cwd);
  let now = 45;
  for (let step = 0; step < STEPS; step++) {
    const words = deed(chance, rack, now);
    await tried(words, cwd);
    const at = words.indexOf('--advance');
    if (at >= 0) now += Number.parseInt(words[at + 1] ?? '0', 10);
    const text = readFileSync(join(cwd, PLAN), 'utf8');
    const { findings } = readPlan(text, { boards: BOARDS });
    const errors = findings.filter(({ severity }) => severity === 'error');
    hold(errors.length === 0, () => `after leanward ${words.join(' ')}\n${JSON.stringify(errors)}\n${text}`);
    const looking = look(chance, rack, now);
    const seen = await tried(looking, cwd);
    const isUnread = looking[0] === 'status' || looking[0] === 'log' ? [0, 3] : [0];
    hold(isUnread.includes(seen.code ?? 70), () => told(looking, seen));
    if (looking.includes('--json')) JSON.parse(seen.out);
  }
  return 3 + 2 * STEPS;
}

export const lives: Campaign = {
  name: 'lives',
  about: 'whole seasons on racks made by chance end in no error of our own, and every look is answered',
  unit: 'commands',
  share: 2,
  slice: 1,
  run: async (chance) => {
    const cwd = mkdtempSync(join(tmpdir(), 'leanward-life-'));
    try {
      return await live(chance, cwd);
    } finally {
      rmSync(cwd, { recursive: true, force: true });
    }
  },
};

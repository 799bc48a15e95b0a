/**
 * The starter in inches, through a bit of its season: no command and no page of any
 * command says a metric unit. The list of commands is the real one, so that a new
 * command fails here until it has its line.
 */

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../../src/cli/commands/table.ts';
import { metricIn } from '../../support/metric.ts';
import { leanward } from './run.ts';

let folder: string;
let plan: string;
let port: readonly string[];
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-inches-'));
  plan = join(folder, 'rack.plan.yaml');
  port = ['--port', `virtual:${join(folder, 'rack.json')}`];
  await leanward('init', plan, '--shelves', '2', '--units', 'in', ...zoneAndDay);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const zoneAndDay = ['--timezone', 'America/Chicago', '--sealed', '2026-02-16'];
const file = (name: string): string => join(folder, name);
const on = ['--day', '2026-05-04'];

/** What is asked of each command, in the order of a season; those of one entry one after another. */
const ASKED: Readonly<Record<string, () => readonly (readonly string[])[]>> = {
  init: () => [[file('second.plan.yaml'), '--units', 'in', ...zoneAndDay]],
  check: () => [[plan, '--page', file('check.html')]],
  simulate: () => [
    [
      plan,
      '--from',
      '2026-05-01',
      '--days',
      '3',
      '--page',
      file('simulate.html'),
      '--trace',
      file('trace.txt'),
      '--event',
      '2026-05-01 09:00 probe 95 F',
    ],
    [plan, '--event', '2026-05-01 09:00 probe'],
  ],
  light: () => [[plan]],
  compile: () => [[plan, '-o', file('tables')]],
  batch: () => [
    [plan, '--zones', 'A', '--sealed', '2026-08-01'],
    [plan, '--zones', 'A', '--sealed', '2026-08-02'],
  ],
  install: () => [[...port]],
  flash: () => [[plan, ...port, '--yes', '--at', '2026-03-30']],
  status: () => [[...port, '--plan', plan, '--advance', '1d', '--event', '+1h probe 95 F']],
  log: () => [
    [plan, ...port, '--advance', '4d'],
    [plan, ...port],
  ],
  note: () => [
    [plan, 'A1', '--height', '4 1/2 in', '--lean', '20 deg', '--mass', '3 oz', ...on],
    [plan, 'A2', '--mass', '3.1 oz', ...on],
    [plan, 'A3', '--mass', '2.5 oz', ...on],
    [plan, 'A1', '--height', '12', ...on],
    [plan, 'A1', '--height', '900 in', ...on],
    [plan, 'A1', '--mass', '900 lb', ...on],
    [plan, 'B1', '--cull', '--why', 'mould', ...on],
    [plan],
  ],
  review: () => [
    [plan, '--page', file('review.html')],
    [plan, '--lot', 'first', '--page', file('lot.html')],
  ],
  visits: () => [
    [plan, ...on, '--days', '60', '--ics', file('visits.ics'), '--card', file('card.html')],
    [plan, '--done', 'A', 'lift', ...on],
  ],
  prep: () => [[plan, '--page', file('prep.html')]],
  lamps: () => [[plan, ...port, '--yes']],
  ports: () => [[]],
  // It runs until it is stopped; a plan with a fault makes it say so and end.
  virtual: () => [['--plan', file('faulty.plan.yaml')]],
};

describe('a plan in inches', () => {
  it('hears no metric unit from any command, nor on any page', async () => {
    writeFileSync(file('faulty.plan.yaml'), faulty(readFileSync(plan, 'utf8')));
    expect(Object.keys(ASKED).sort()).toEqual(COMMANDS.map(({ name }) => name).sort());
    let heard = '';
    for (const [command, asked] of Object.entries(ASKED)) {
      for (const words of asked()) {
        const { out, err } = await leanward(command, ...words);
        expect(out + err, `${command} says nothing`).not.toBe('');
        expect(metricIn(out + err), `${command} ${words.join(' ')}`).toEqual([]);
        heard += out;
      }
    }
    // Not for want of anything to say.
    for (const said of ['10 3/8 in', '4 1/2 in high', ', 3 oz', 'room 75 to 95 °F', '5 lb', 'lb/ft3'])
      expect(heard).toContain(said);
    const pages = readdirSync(folder).filter((name) => /\.(html|ics|txt)$/.test(name));
    expect(pages.length).toBeGreaterThan(6);
    for (const name of pages) expect(metricIn(readFileSync(file(name), 'utf8')), name).toEqual([]);
  });

  it('hears none in what is wrong with it', async () => {
    const { code, out } = await leanward('check', file('faulty.plan.yaml'));
    expect(code).toBe(1);
    expect(out.match(/ error [a-z-]+/g)?.length).toBeGreaterThan(4);
    expect(metricIn(out)).toEqual([]);
  });
});

/** The starter with things that do not fit, nor have units. */
function faulty(text: string): string {
  return text
    .replace('bags: [3, 1]', 'bags: [9, 1]')
    .replace('x: [3 in, 33 in]', 'x: [3 in, 43 in]')
    .replace('fill: 5 lb', 'fill: 50')
    .replace('strip: 34 in', 'strip: 900 in')
    .replace('keep: [65 F, 80 F]', 'keep: [650 F, 80]');
}

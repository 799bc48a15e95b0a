/**
 * The starter in inches, through a bit of its season: no command and no page of any
 * command says a metric unit.
 */

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { metricIn } from '../../support/metric.ts';
import { askedOf, ZONE_AND_DAY } from './her-units.ts';
import { here as leanward } from './here.ts';

let folder: string;
let plan: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-inches-'));
  plan = join(folder, 'rack.plan.yaml');
  await leanward('init', plan, '--shelves', '2', '--units', 'in', ...ZONE_AND_DAY);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const file = (name: string): string => join(folder, name);

describe('a plan in inches', () => {
  it('hears no metric unit from any command, nor on any page', async () => {
    writeFileSync(file('faulty.plan.yaml'), faulty(readFileSync(plan, 'utf8')));
    let heard = '';
    for (const [command, asked] of Object.entries(askedOf(folder))) {
      for (const words of asked()) {
        const { out, err } = await leanward(command, ...words);
        expect(out + err, `${command} says nothing`).not.toBe('');
        expect(metricIn(out + err), `${command} ${words.join(' ')}`).toEqual([]);
        heard += out;
      }
    }
    // Not for want of anything to say.
    const all = ['10 3/8 in', '4 1/2 in high', ', 3 oz', 'room 75 to 95 °F', '5 lb', 'lb/ft3'];
    for (const said of [...all, 'fresh mass from 1 lb of dry mix', '0.18 in, 1 bag'])
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

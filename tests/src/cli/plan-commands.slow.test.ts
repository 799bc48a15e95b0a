import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { decodeTable } from '../../../shared/table-decode.ts';
import { rackText } from '../../support/racks.ts';
import { here } from './here.ts';
import { jsonOf, leanward, PLANS } from './run.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const pantry = join(PLANS, 'pantry.plan.yaml');

function planFile(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

/** Twelve slips of different kinds, one a line where they can be. */
const TWELVE = `leanward: 1
place: { timezone: Europe/Lisbonn }
shelves:
  upper: { height: 1100, size: [1200 mm, 450 mm], clear: 520 mm }
  lower: { height: 500 mm, size: [1200 mm, 450 lm], clear: 520 mm }
  middle: { height: 1700 mm, size: [1200 mm, 450 mm], clear: 520 mm }
zones:
  A: { shelf: uper, bags: [1, 2] }
  B: { shelf: middle, x: [60 mm, 1260 mm], bags: [1, 2] }
lamps:
  A-left: { beside: A, side: lefft, output: 1, flux: 400 lm }
  B-left: { beside: B, side: left, output: 9, flux: 400 lm }
  B-right: { beside: B, side: right, output: 2, flux: 400 lm, colour: warm }
bags:
  tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg }
regimes:
  own:
    - { stage: wake, days: 0, photoperiod: 8 h, start: 09:00 }
    - { stage: climb, days: 49, photoperiod: 25 h, start: 08:00 }
batches:
  early: { sealed: 2026-02-30, zones: [B], regime: own }
visits:
  hours: [08:00, 21:00]
  look: { every: 7 d, at: 22:00 }
`;

describe('check', () => {
  it('finds twelve different faults in one run, exit 1, no stack trace', async () => {
    const path = planFile('twelve.plan.yaml', TWELVE);
    const ran = await leanward('check', path);
    expect(ran.code).toBe(1);
    expect(ran.err).not.toMatch(/^ {4}at /m);
    const errors = [...ran.out.matchAll(/^.*: error ([a-z0-9-]+):/gm)].map((match) => match[1]);
    expect(errors).toHaveLength(12);
    expect(ran.out).toContain('`left`');
    expect(ran.err).not.toContain('`left`');
    const json = jsonOf('check', (await here('check', path, '--json')).out);
    expect(json).toMatchObject({ ok: false, tables: [] });
  });

  it('of a large rack tells a screenful, and everything one by one where asked', async () => {
    const path = planFile('large.plan.yaml', rackText({ zones: 16, bags: [2, 1], beside: 2 }));
    const short = (await here('check', path)).out.split('\n');
    expect(short.length).toBeLessThanOrEqual(51);
    const all = (await here('check', path, '--all')).out;
    expect(all.split('\n').length).toBeGreaterThan(2 * short.length);
    expect(all).toMatch(/^ *\d+ \| .*sealed: /m);
    expect(all).toContain('Assumed, because the plan does not say:');
  });

  it('of a sound plan: exit 0, the schema kept, the batches and the table told', async () => {
    const ran = await here('check', pantry, '--json');
    expect(ran.code).toBe(0);
    expect(jsonOf('check', ran.out)).toMatchObject({ ok: true, tables: [{ controller: 'pantry', unit: 1 }] });
    const words = await here('check', pantry);
    expect(words.out).toMatch(/batch early +sealed 2026-02-16/);
    expect(words.out).toMatch(/Assumed, because the plan does not say/);
  });

  it('--strict makes light warnings errors', async () => {
    const open = join(PLANS, 'pantry-open.plan.yaml');
    expect((await here('check', open)).code).toBe(0);
    const strict = await here('check', open, '--strict');
    expect(strict.code).toBe(1);
    expect(strict.out).toMatch(/error light-lean/);
    expect((await here('check', pantry, '--strict')).code).toBe(0);
  });

  it('writes a page that loads nothing from elsewhere', async () => {
    const page = join(folder, 'page.html');
    expect((await here('check', pantry, '--page', page)).code).toBe(0);
    const text = readFileSync(page, 'utf8');
    expect(text).toContain('<svg');
    expect(text).not.toMatch(/<script|src="http|href="http|@import/);
  });
});

describe('compile', () => {
  it('writes a table that decodes, and a listing that ends on its size', async () => {
    const out = join(folder, 'tables');
    const ran = await leanward('compile', pantry, '-o', out, '--json');
    expect(ran.code).toBe(0);
    jsonOf('compile', ran.out);
    expect(readdirSync(out).sort()).toEqual(['pantry.lst', 'pantry.table']);
    const bytes = readFileSync(join(out, 'pantry.table'));
    expect(decodeTable(bytes).ok).toBe(true);
    expect(readFileSync(join(out, 'pantry.lst'), 'utf8')).toContain(`${bytes.length} bytes: frame 15`);
  });

  it('makes the folder, says so when it cannot, and never hangs', async () => {
    const deep = await leanward('compile', pantry, '-o', join(folder, 'deep', 'er'));
    expect(deep.code).toBe(0);
    const file = await leanward('compile', pantry, '-o', pantry);
    expect(file.code).toBe(2);
    expect(file.err).toMatch(/is a file, not a folder/);
    if (process.platform !== 'linux') return;
    const nowhere = await leanward('compile', pantry, '-o', '/proc/leanward/tables');
    expect(nowhere.code).toBe(2);
    expect(nowhere.err).toMatch(/\/proc\/leanward cannot be made there/);
  });

  it('writes nothing when the plan has an error', async () => {
    const out = join(folder, 'none');
    const path = planFile('bad.plan.yaml', TWELVE);
    expect((await leanward('compile', path, '-o', out)).code).toBe(1);
    expect(readdirSync(folder)).not.toContain('none');
  });
});

describe('simulate', () => {
  it('gives each zone its hours, and the trace begins with the state at the first instant', async () => {
    const trace = join(folder, 'week.trace');
    const ran = await here('simulate', pantry, '--from', '2026-04-13', '--trace', trace, '--json');
    expect(ran.code).toBe(0);
    const json = jsonOf('simulate', ran.out);
    expect(json.zones).toContainEqual({
      zone: 'A',
      day: '2026-04-13',
      batch: 'early',
      stage: 'climb',
      hours: { dark: 12, left: 12 },
    });
    expect(json.zones).toContainEqual({
      zone: 'B',
      day: '2026-04-13',
      batch: 'late',
      stage: 'wake',
      hours: { dark: 16, upright: 8 },
    });
    const lines = readFileSync(trace, 'utf8').split('\n');
    expect(lines.slice(0, 2)).toEqual([
      '2026-04-12T23:00:00Z pantry out 00.00.00.00.00.00.00.00',
      '2026-04-13T07:00:00Z pantry out ff.00.00.00.00.00.00.00',
    ]);
  });

  it('says that no zone has bags, and which side to turn to the lamp', async () => {
    const after = await here('simulate', pantry, '--from', '2027-01-01');
    expect(after.out).toMatch(/^No zone has bags in these days\.$/m);
    const turned = join(folder, 'turned.yaml');
    const text = readFileSync(pantry, 'utf8').replace(
      'every: 7 d }\n      lift',
      'every: 7 d, by: turning }\n      lift',
    );
    writeFileSync(turned, text);
    const ran = await here('simulate', turned, '--from', '2026-04-06');
    expect(ran.out).toMatch(
      /^ {2}2026-04-06 18:00 .*turn A \(its right side to the lamp\) and C \(its right side to the lamp\)/m,
    );
  });

  it('shows what a power cut takes and what a press answers', async () => {
    const events = ['--event', '2026-04-14 09:00 cut 2h', '--event', '2026-04-14 18:10 press'];
    const { out } = await here('simulate', pantry, '--from', '2026-04-14', '--days', '1', ...events);
    expect(out).toMatch(/zone A +2026-04-14 +climb \(early\) +10 h from the left/);
    expect(out).toMatch(/started: power came on, off for about 2 h/);
    expect(out).toMatch(/visit done: lift in A and C, 10 min after it was due/);
  });
});

describe('init and batch', () => {
  it('write a plan that checks, and add a batch to it', async () => {
    const path = join(folder, 'new.plan.yaml');
    const made = await leanward(
      'init',
      path,
      '--shelves',
      '3',
      '--units',
      'in',
      '--timezone',
      'America/Chicago',
      '--sealed',
      '2026-02-16',
      '--json',
    );
    expect(made.code).toBe(0);
    jsonOf('init', made.out);
    expect((await here('check', path)).code).toBe(0);
    const added = await here('batch', path, '--zones', 'A,C', '--sealed', '2026-07-01', '--json');
    expect(added.code).toBe(0);
    expect(jsonOf('batch', added.out)).toMatchObject({ zones: ['A', 'C'], sealed: '2026-07-01' });
    expect(readFileSync(path, 'utf8')).toContain('# A shelf light plan.');
  });

  it('never overwrite a plan, nor write a batch that does not fit', async () => {
    const path = join(folder, 'kept.plan.yaml');
    await leanward('init', path, '--timezone', 'UTC', '--sealed', '2026-02-16');
    const before = readFileSync(path, 'utf8');
    expect((await leanward('init', path)).code).toBe(2);
    const late = await leanward('init', path, '--force', '--sealed', '9999-12-31');
    expect([late.code, late.err]).toEqual([2, expect.stringContaining('must be 2000-01-01 to 2099-12-31')]);
    const clash = await here('batch', path, '--zones', 'A', '--sealed', '2026-03-01');
    expect(clash.code).toBe(1);
    expect(clash.err).toMatch(/zone-taken.*Nothing was written/s);
    expect(readFileSync(path, 'utf8')).toBe(before);
  });
});

describe('the demo', () => {
  it('does the whole job and says what happened', async () => {
    const demo = fileURLToPath(new URL('../../../src/cli/scripts/demo.js', import.meta.url));
    const child = spawn(process.execPath, [demo], { stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    child.stdout.on('data', (text: Buffer) => (out += text));
    const code = await new Promise((resolve) => child.on('close', resolve));
    expect(code).toBe(0);
    expect(out).toMatch(/Read back and confirmed/);
    expect(out).toMatch(/5 days of light were written down whole/);
    expect(out).toMatch(/At 2026-04-14 11:00 the power came on, off for about 2 h/);
    expect(out).toMatch(/Visits: 1 answered with the button, 2 missed/);
  });
});

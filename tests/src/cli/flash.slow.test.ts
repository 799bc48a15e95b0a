import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { here } from './here.ts';
import { jsonOf, leanward, PLANS } from './run.ts';

const PANTRY = join(PLANS, 'pantry.plan.yaml');
let folder: string;
let port: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-'));
  port = `virtual:${join(folder, 'rack.json')}`;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The pantry plan with a change, as a file. */
function changed(name: string, from: string, to: string): string {
  const text = readFileSync(PANTRY, 'utf8');
  if (!text.includes(from)) throw new Error(`the plan has no '${from}'`);
  const path = join(folder, name);
  writeFileSync(path, text.replace(from, to));
  return path;
}

describe('a grow on a virtual controller, command by command', () => {
  it('flashes a plan; a new controller starts at the first sealing midnight', async () => {
    const ran = await leanward('flash', PANTRY, '--port', port, '--json');
    expect(ran.code).toBe(0);
    const flashed = jsonOf('flash', ran.out);
    // Lisbon keeps UTC in February.
    expect(flashed.clock).toMatch(/^2026-02-16T00:00:\d\dZ$/);
    expect(flashed).toMatchObject({ runs: 'new', unit: 1, changes: { first: true }, table: { sequence: 1 } });
  });

  it('tells its status in words and for machines', async () => {
    const json = jsonOf('status', (await here('status', '--port', port, '--json')).out);
    expect(json).toMatchObject({ board: 'mega328-relay8', levels: [0, 0, 0, 0, 0, 0, 0, 0], faults: [] });
    expect(json.clock).toMatchObject({ estimated: false, offsetMinutes: 0 });
    const words = await here('status', '--port', port, '--plan', PANTRY);
    expect(words.code).toBe(0);
    expect(words.out).toMatch(/^Lamps +all off$/m);
    expect(words.out).toMatch(/^Clock +2026-02-16 00:00, right$/m);
  });

  it('lets time pass: on day 28 the wake light burns from 09:00, and a cut is in the log', async () => {
    const ran = await here(
      ...['status', '--port', port, '--advance', '28d 10h', '--event', '2026-03-01 12:00 cut 2h'],
      ...['--event', '2026-02-23 18:20 press', '--json'],
    );
    expect(ran.code).toBe(0);
    const status = jsonOf('status', ran.out);
    expect((status.levels as number[]).slice(0, 2)).toEqual([255, 255]);
    expect(status.clock).toMatchObject({ utc: expect.stringMatching(/^2026-03-16T10:00/) });
  });

  it('reads the log: the table, the visit, the cut, a day after each day', async () => {
    const ran = await here('log', '--port', port, '--json');
    expect(ran.code).toBe(0);
    const { records, missing } = jsonOf('log', ran.out) as {
      records: Record<string, unknown>[];
      missing: number[];
    };
    const of = (type: string) => records.filter((record) => record.type === type);
    expect(missing).toEqual([]);
    expect(of('confirmed')).toHaveLength(1);
    const boot = sure(of('boot').at(-1));
    expect(boot.cause).toBe('powerOn');
    // The last-alive minute lies up to a minute before the cut.
    expect([120, 121]).toContain(boot.outageMinutes);
    expect(of('visit')[0]).toMatchObject({
      kind: 'look',
      outcome: 'done',
      lateMinutes: 20,
      time: '2026-02-23T18:20:00Z',
    });
    expect(of('light')).toHaveLength(28);
    const csv = await here('log', '--port', port, '--csv');
    expect(csv.out.trim().split('\n')).toHaveLength(records.length + 1);
    const words = await here('log', '--port', port, '--plan', PANTRY, '--last', '1000');
    expect(words.out).toMatch(/2026-02-23 18:20 +visit done: look in A and C, 20 min after it was due/);
    expect(words.out).toMatch(/started: power came on, off for about 2 h( 1 min)?$/m);
  });

  it('shows what changes, and refuses to lose days of light unless told', async () => {
    // Stages that became shorter may be a slip; an `ended` is meant.
    const shorter = changed('shorter.yaml', 'stage: climb\n      days: 49', 'stage: climb\n      days: 42');
    const refused = await here('flash', shorter, '--port', port, '--json');
    expect(refused.code).toBe(2);
    expect(jsonOf('error', refused.out)).toMatchObject({ error: { reason: 'days lost' } });
    expect(refused.err).toMatch(/zone A +the light of 7 days from 2026-06-01 to 2026-06-07/);
    const ended = changed(
      'ended.yaml',
      'bag: tall, regime: antler }\n  late',
      'bag: tall, regime: antler, ended: 2026-05-01 }\n  late',
    );
    const told = await here('flash', ended, '--port', port);
    expect(told.code).toBe(0);
    expect(told.out).toMatch(/What changes from now on/);
    expect(told.out).toMatch(/B-left +as before/);
    expect(told.out).toMatch(/now runs this plan: table number 2/);
    expect(told.err).toMatch(/^Read the log of pantry by 2026-\d\d-\d\d: /m);
    expect(told.err).not.toContain('not the one that was sent');
  });

  it('lights each lamp in turn and releases them', async () => {
    const ran = await here('lamps', PANTRY, '--port', port, '--json');
    expect(ran.code).toBe(0);
    const { lamps } = jsonOf('lamps', ran.out) as { lamps: { lamps: string[]; verdict: string }[] };
    expect(lamps.map((one) => one.lamps[0])).toEqual([
      'A-left',
      'A-right',
      'B-left',
      'B-right',
      'C-left',
      'C-right',
      'D-left',
      'D-right',
    ]);
    expect(new Set(lamps.map(({ verdict }) => verdict))).toEqual(new Set(['not asked']));
    const later = await here('status', '--port', port, '--advance', '1min', '--json');
    const status = jsonOf('status', later.out);
    expect(status.state).toMatchObject({ hand: false });
  });

  it('refuses the wrong board and changes nothing', async () => {
    const other = changed('board.yaml', 'board: mega328-relay8', 'board: mega328-dim6');
    const text = readFileSync(other, 'utf8')
      .replace(/output: pantry\/7/g, 'output: pantry/5')
      .replace(/output: pantry\/8/g, 'output: pantry/6');
    writeFileSync(other, text);
    const ran = await here('flash', other, '--port', port, '--json');
    expect(ran.code).toBe(3);
    expect(jsonOf('error', ran.out)).toMatchObject({ error: { kind: 'link', reason: 'wrong board' } });
  });

  it('of a table that ran before leaves no doubt which one runs, before any log is read', async () => {
    const [first, other] = ['every: 7 d }', 'every: 6 d }'].map((every, i) => {
      const path = join(folder, `twice${i}`, 'twice.plan.yaml');
      mkdirSync(join(folder, `twice${i}`));
      writeFileSync(path, readFileSync(PANTRY, 'utf8').replace('every: 7 d }', every));
      return path;
    });
    const place = ['--archive', join(folder, 'twice.sqlite')];
    const board = ['--port', `virtual:${join(folder, 'twice.json')}`, '--drop-days'];
    for (const plan of [first, other, first])
      expect(await here('flash', sure(plan), ...board, ...place)).toMatchObject({ code: 0 });
    const told = await here('visits', sure(first), ...place, '--day', '2026-02-16');
    expect(told.out).not.toContain('the board runs the table of');
    const changed = await here('visits', sure(other), ...place, '--day', '2026-02-16');
    expect(changed.out).toContain('the board runs the table of');
  });

  it('is not held up by an archive that cannot be used; what was not kept is said', async () => {
    const place = join(folder, 'notes.txt');
    writeFileSync(place, 'my notes');
    const fresh = `virtual:${join(folder, 'held.json')}`;
    const ran = await here('flash', PANTRY, '--port', fresh, '--archive', place);
    expect(ran, ran.err).toMatchObject({ code: 0, out: expect.stringMatching(/now runs this plan/) });
    expect(ran.err).toMatch(
      /The table was not kept in the archive: .*notes\.txt is not a run archive.* The next `log` does it\./,
    );
    expect(readFileSync(place, 'utf8')).toBe('my notes');
    // A folder that is not there cannot be written to either.
    const nowhere = await here('flash', PANTRY, '--port', fresh, '--archive', join(folder, 'no', 'a.sqlite'));
    expect(nowhere).toMatchObject({ code: 0, err: expect.stringMatching(/not kept .*There is no folder/) });
  });

  it('stops at a plan with errors before it touches the controller', async () => {
    const bad = changed('bad.yaml', 'days: 28', 'days: 0');
    const fresh = join(folder, 'fresh.json');
    const ran = await here('flash', bad, '--port', `virtual:${fresh}`, '--json');
    expect(ran.code).toBe(1);
    expect(jsonOf('error', ran.out)).toMatchObject({ error: { kind: 'plan' } });
    expect(ran.err).toMatch(/bad\.yaml:\d+:\d+: error [a-z-]+: /);
    expect(ran.err).not.toMatch(/ at .*\.ts:/);
    expect(existsSync(fresh)).toBe(false);
    expect(existsSync(`${fresh}.lock`)).toBe(false);
  });
});

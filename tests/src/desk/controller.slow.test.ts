/** Controllers on the desk: refusals that change nothing, and the work on a virtual controller. */

import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { leanward } from '../cli/run.ts';
import { answer, begin, flashTo, isAsking, isOver, jobThat, listen, PANTRY, textOf } from './at-work.ts';
import { end, folderWith, type StartedDesk, startDesk, sweep } from './desk.ts';

const KEPT = 'rack.controller';
const PORT = `virtual:${KEPT}`;

describe('a controller on the desk', () => {
  let folder: string;
  let desk: StartedDesk;
  const kept = (name = KEPT): string => readFileSync(join(folder, name), 'utf8');

  beforeAll(async () => {
    folder = folderWith('pantry');
    desk = await startDesk(folder);
  });

  afterAll(async () => {
    await end(desk.child);
    sweep(folder);
  });

  it('shows what a flash changes, asks, flashes, and says what the command says', async () => {
    await begin(desk, { kind: 'flash', port: PORT, at: '2026-03-20' });
    const asking = await jobThat(desk, PORT, isAsking);
    expect(asking.question?.words).toBe('Put this on the controller?');
    expect(textOf(asking)).toMatch(
      /The controller has no table yet\. From now on:\n {2}A-left +light on \d+ days/,
    );
    await answer(desk, asking, 'n');
    const refused = await jobThat(desk, PORT, isOver);
    expect(refused.ended?.fault).toBe('Nothing was changed on the controller.');
    const done = await flashTo(desk, PORT);
    expect(done.ended).toEqual({});
    expect(textOf(done)).toMatch(
      /It runs on trial: read back now, and confirmed when every byte is right\.\npantry now runs this plan: table number 1 \(CRC [0-9A-F]{8}\), \d+ of 440 bytes\.\nRead back and confirmed on 2026-03-20/,
    );
    // The command finds what the desk left, in the same file and the same archive.
    const status = await leanward(
      'status',
      '--port',
      `virtual:${join(folder, KEPT)}`,
      '--plan',
      join(folder, PANTRY),
    );
    expect(status.out).toMatch(/Table +number 1, \d+ bytes/);
    expect(existsSync(join(folder, 'pantry.virtual.archive.sqlite'))).toBe(true);
  });

  it('lets a week pass with a power cut, and reads the log', async () => {
    await begin(desk, { kind: 'look', port: PORT, advance: '7d', event: '+1d cut 2h' });
    const seen = await jobThat(desk, PORT, isOver);
    expect(seen.ended).toEqual({});
    expect(new Map(seen.status).get('Clock')).toMatch(/^2026-03-27 /);
    expect(textOf(seen)).toMatch(/started: power came on, off for about 2 h/);
    expect(textOf(seen)).toMatch(/2026-03-25 +light: output 1 \(A-left\) 8\.0 h/);
    await begin(desk, { kind: 'look', port: PORT });
    expect(textOf(await jobThat(desk, PORT, isOver))).toMatch(
      /^There is nothing newer in the log|0 records added/,
    );
  });

  it('lights lamps one by one; what is asked of one window can be answered in another', async () => {
    await begin(desk, { kind: 'lamps', port: PORT });
    for (let output = 1; output <= 8; output++) {
      const job = await jobThat(desk, PORT, (one) => one.question?.number === output);
      expect(job.question?.words).toMatch(
        new RegExp(`^Output ${output} is on\\. Is it [A-D]-(left|right) that is lit`),
      );
      await answer(desk, job, output === 3 ? 'n' : 'y');
    }
    const done = await jobThat(desk, PORT, isOver);
    expect(textOf(done)).toMatch(/^Output 3 \(B-left\): not the right lamp\.\nChange the output numbers/);
  });

  it('puts a lamp out when the page that had it lit is gone', async () => {
    const window = await listen(desk, 'lamps');
    await begin(desk, { kind: 'lamps', port: PORT, window: 'lamps' });
    await jobThat(desk, PORT, isAsking);
    window.close();
    const done = await jobThat(desk, PORT, isOver);
    expect(done.ended).toEqual({});
    await begin(desk, { kind: 'look', port: PORT });
    const seen = await jobThat(desk, PORT, isOver);
    expect(new Map(seen.status).get('Now')).toBe('follows its table');
    expect(textOf(seen)).toMatch(/hand switching of .* ended: released/);
  });

  it('holds a port once: who asks meanwhile is told what it is used for', async () => {
    await begin(desk, { kind: 'flash', port: PORT });
    const asking = await jobThat(desk, PORT, isAsking);
    const second = await begin(desk, { kind: 'lamps', port: PORT });
    expect(second.status).toBe(409);
    expect(second.body).toBe(
      `${PORT} is in use: the desk flashes it, for ${PANTRY}. Wait until that has ended.\n`,
    );
    const command = await leanward('status', '--port', `virtual:${join(folder, KEPT)}`);
    expect(command.code).toBe(3);
    expect(command.err).toMatch(/is in use by another command \(process \d+/);
    await answer(desk, asking, 'n');
    await jobThat(desk, PORT, isOver);
  });

  it('flashes the file as it was saved, and says so of a text that is not', async () => {
    const { body } = await begin(desk, { kind: 'flash', port: PORT, mark: 'of another file' });
    expect(body).not.toMatch(/in use/);
    const changed = await jobThat(desk, PORT, isOver);
    expect(changed.ended?.fault).toMatch(
      /was changed by another program since it was opened here\. Nothing was changed/,
    );
    writeFileSync(join(folder, `.${PANTRY}.unsaved`), JSON.stringify({ text: 'leanward: 1\n', base: '' }));
    await begin(desk, { kind: 'flash', port: PORT });
    const asking = await jobThat(desk, PORT, isAsking);
    expect(textOf(asking)).toMatch(
      /has text that is not saved\. What is flashed is the file as it was saved\./,
    );
    await answer(desk, asking, 'n');
    await jobThat(desk, PORT, isOver);
  });

  it('refuses a plan with errors, line by line, and opens no port for it', async () => {
    const before = kept();
    const text = readFileSync(join(folder, PANTRY), 'utf8');
    writeFileSync(join(folder, PANTRY), text.replace('sealed: 2026-02-16', 'sealed: 2026-02-30'));
    const job = await flashTo(desk, PORT);
    writeFileSync(join(folder, PANTRY), text);
    expect(textOf(job)).toMatch(/pantry\.plan\.yaml:\d+:\d+: error [\w-]+: /);
    expect(job.ended?.fault).toBe('The plan has errors.');
    expect(kept()).toBe(before);
  });

  it('refuses another board than the plan has', async () => {
    const other = `virtual:${join(folder, 'other.controller')}`;
    await leanward('status', '--port', other, '--board', 'mega328-dim6', '--at', '2026-03-20');
    const { ended } = await flashTo(desk, 'virtual:other.controller');
    expect(ended?.fault).toMatch(
      /^The controller on virtual:other\.controller is a mega328-dim6, but the plan's controller 'pantry' is a mega328-relay8\. Nothing was sent: what ran before goes on\./,
    );
    expect((await leanward('status', '--port', other)).out).toMatch(/Table +none/);
  });

  it.each([
    ['a virtual controller outside the folder', { port: 'virtual:../other' }, /no port that the desk opens/],
    ['a virtual controller without a file', { port: 'virtual' }, /no port that the desk opens/],
    ['a plan as a virtual controller', { port: `virtual:${PANTRY}` }, /is not a virtual controller's file/],
    ['a port that is not there', { port: '/dev/ttyNone' }, /There is no port \/dev\/ttyNone/],
    ['a plan outside the folder', { plan: '../other.yaml' }, /own folder only/],
    ['work that there is not', { kind: 'burn' }, /no kind of work/],
    ['a unit that there is not', { unit: '300' }, /is not a unit number/],
  ])('refuses %s', async (_, wanted, words) => {
    const before = readdirSync(folder).sort();
    const text = readFileSync(join(folder, PANTRY), 'utf8');
    const asked = { kind: 'look', port: PORT, ...wanted };
    const { status, body } = await begin(desk, asked);
    const said = status === 200 ? ((await jobThat(desk, asked.port, isOver)).ended?.fault ?? '') : body;
    expect(said).toMatch(words);
    expect(readdirSync(folder).sort()).toEqual(before);
    expect(readFileSync(join(folder, PANTRY), 'utf8')).toBe(text);
  });

  it.each([
    ['another origin', { origin: 'http://evil.example' }],
    ['a missing key', { cookie: undefined }],
    ['another host', { host: 'rebound.example:80', origin: undefined }],
  ])('does nothing for %s', async (_, headers) => {
    const before = kept();
    const { status } = await begin(desk, { kind: 'flash', port: PORT }, headers);
    expect(status).toBe(403);
    expect(kept()).toBe(before);
  });
});

describe('a desk that is ended while it flashes', () => {
  it('says what runs, as the command does, and ends with the number of the signal', async () => {
    const folder = folderWith('pantry');
    const desk = await startDesk(folder);
    let err = '';
    desk.child.stderr?.on('data', (more: Buffer) => (err += more));
    await begin(desk, { kind: 'flash', port: PORT });
    await jobThat(desk, PORT, isAsking);
    await end(desk.child);
    expect(err).toMatch(/Stopped\. Nothing was sent: what ran before goes on\./);
    expect(desk.child.exitCode).toBe(143);
    const { out } = await leanward('status', '--port', `virtual:${join(folder, KEPT)}`);
    expect(out).toMatch(/Table +none/);
    expect(readdirSync(folder).filter((name) => /lock|tmp/.test(name))).toEqual([]);
    sweep(folder);
  });
});

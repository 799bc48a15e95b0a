import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { COMMANDS } from '../../../src/cli/commands/table.ts';
import { jsonOf, leanward, PLANS, start } from './run.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('help', () => {
  it('lists every command, and each has its own help with an example', async () => {
    const all = await leanward('--help');
    expect(all.code).toBe(0);
    const helps = await Promise.all(COMMANDS.map(({ name }) => leanward(name, '--help')));
    for (const [i, { name }] of COMMANDS.entries()) {
      expect(all.out).toMatch(new RegExp(`^  ${name} `, 'm'));
      expect(helps[i]).toMatchObject({ code: 0, err: '' });
      expect(itemAt(helps, i).out).toMatch(new RegExp(`Examples?:\n  leanward ${name}`));
      expect(itemAt(helps, i).out).toContain('--json');
    }
  });
});

describe('exit codes', () => {
  it.concurrent.each([
    { words: ['sttus'], says: /Did you mean status/ },
    { words: ['status', '--prot', 'virtual'], says: /Did you mean --port/ },
    { words: ['flash'], says: /missing required argument 'plan'/ },
    { words: ['flash', 'none.plan.yaml'], says: /There is no file none\.plan\.yaml/ },
    { words: ['status', '--port', 'virtual'], says: /needs a day to start at/ },
    { words: ['status', '--port', 'virtual', '--at', 'tomorrow'], says: /is no date/ },
    {
      words: ['status', '--port', 'virtual', '--at', '2026-02-16', '--board', 'uno'],
      says: /There is no board 'uno'/,
    },
    {
      words: ['status', '--port', 'virtual', '--at', '2026-02-16', '--advance', 'soon'],
      says: /not a length of time/,
    },
    {
      words: ['status', '--port', 'virtual', '--at', '2026-02-16', '--event', 'boo'],
      says: /no time that can be read/,
    },
    { words: ['status', '--port', '/dev/ttyS0', '--advance', '7d'], says: /works on virtual ports only/ },
    {
      words: ['log', '--csv', '--json', '--port', 'virtual', '--at', '2026-02-16'],
      says: /do not go together/,
    },
    { words: ['virtual', '--tcp', 'http'], says: /--tcp http is not a number/ },
  ])('2 for wrong usage: $words', async ({ words, says }) => {
    const ran = await leanward(...words);
    expect(ran.err).toMatch(says);
    expect(ran.err).not.toMatch(/^ {4}at /m);
    expect(ran.code).toBe(2);
  });

  it.each([
    { words: ['chek', 'plan.yaml', '--json'], says: /unknown command 'chek'/ },
    { words: ['check', '--json'], says: /missing required argument 'plan'/ },
    { words: ['check', 'plan.yaml', '--json', '--fst'], says: /unknown option '--fst'/ },
  ])('2 for words that are no command, in JSON too: $words', async ({ words, says }) => {
    const ran = await leanward(...words);
    expect(ran.code).toBe(2);
    const { error } = jsonOf('error', ran.out) as { error: { kind: string; message: string } };
    expect(error.kind).toBe('usage');
    expect(error.message).toMatch(says);
  });

  it('3 when there is no such port, with the sentence in JSON too', async () => {
    const ran = await leanward('status', '--port', '/dev/ttyLEANWARD', '--json');
    expect(ran.code).toBe(3);
    expect(jsonOf('error', ran.out)).toMatchObject({ error: { kind: 'link', reason: 'no port' } });
  });

  it('2 for a file that is no virtual controller; the file stays as it was', async () => {
    const path = join(folder, 'notes.txt');
    writeFileSync(path, 'my notes');
    const ran = await leanward('status', '--port', `virtual:${path}`);
    expect(ran).toMatchObject({ code: 2, err: expect.stringMatching(/not a virtual controller's file/) });
  });

  it('70 for an error in Leanward, with how to report it and no stack trace', async () => {
    const fault =
      "setInterval(() => { if (process.listenerCount('uncaughtException')) throw new Error('boom') }, 50)";
    const bug = `data:text/javascript,${encodeURIComponent(fault)}`;
    const child = start(['virtual', '--plan', join(PLANS, 'pantry.plan.yaml'), '--tcp', '0'], {
      NODE_OPTIONS: `--import=${bug}`,
    });
    let err = '';
    sure(child.stderr).on('data', (text: Buffer) => (err += text));
    const code = await new Promise((resolve) => child.on('close', resolve));
    expect(code).toBe(70);
    expect(err).toMatch(/error in Leanward.*To report it/s);
    expect(err).not.toMatch(/^ {4}at /m);
  });

  it('0 for ports, with and without JSON', async () => {
    const ran = await leanward('ports', '--json');
    expect(ran.code).toBe(0);
    jsonOf('ports', ran.out);
    expect((await leanward('ports')).out).toMatch(/virtual:FILE/);
  });
});

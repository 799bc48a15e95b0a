import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Desk, OpenedPlan } from '../../../src/desk/wire.ts';
import { leanward } from '../cli/run.ts';
import { type Asking, ask, end, folderWith, type StartedDesk, save, startDesk, sweep } from './desk.ts';

const PANTRY = 'pantry.plan.yaml';
const markOf = (path: string): string => createHash('sha256').update(readFileSync(path)).digest('hex');

/** Everything in a folder, to see that nothing was written. */
const everything = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder)
      .filter((name) => name !== 'dangling.yaml')
      .sort()
      .map((name) => [name, readFileSync(join(folder, name), 'utf8')]),
  );

describe('the desk', () => {
  let folder: string;
  let outside: string;
  let desk: StartedDesk;

  beforeAll(async () => {
    folder = folderWith('pantry', 'wire-rack');
    outside = folderWith();
    writeFileSync(join(outside, 'secret.yaml'), 'secret');
    symlinkSync(join(outside, 'secret.yaml'), join(folder, 'linked.yaml'));
    symlinkSync(join(outside, 'nothing.yaml'), join(folder, 'dangling.yaml'));
    desk = await startDesk(join(folder, PANTRY));
  });

  afterAll(async () => {
    await end(desk.child);
    sweep(folder);
    sweep(outside);
  });

  it('exchanges the token for a cookie that no script reads, and sends on to an address without it', async () => {
    const entered = await ask(desk, { path: `/enter?token=${desk.token}`, headers: { cookie: undefined } });
    expect(entered.status).toBe(303);
    expect(entered.headers.location).toBe('/');
    expect(String(entered.headers['set-cookie'])).toMatch(/HttpOnly; SameSite=Strict/);
  });

  it('forbids its page everything but itself', async () => {
    const { headers, body } = await ask(desk, { path: '/' });
    expect(headers['content-security-policy']).toMatch(
      /^default-src 'none'; script-src 'self'; worker-src 'self';/,
    );
    expect(headers['content-security-policy']).not.toMatch(/unsafe|http|\*/);
    expect(body).not.toMatch(/https?:/);
    expect(headers['access-control-allow-origin']).toBeUndefined();
  });

  const refused: readonly (readonly [string, Asking, number, RegExp])[] = [
    [
      'a page of another origin',
      { path: '/plan?name=x.yaml', headers: { origin: 'http://evil.example' } },
      403,
      /Another page asked/,
    ],
    [
      'a page of another port',
      { path: '/desk', headers: { origin: 'http://127.0.0.1:1' } },
      403,
      /Another page/,
    ],
    [
      'no origin where something changes',
      { method: 'PUT', path: '/plan?name=pantry.plan.yaml', body: '{}', headers: { origin: undefined } },
      403,
      /Another page/,
    ],
    [
      'a picture or script of another page',
      { path: '/desk', headers: { origin: undefined, 'sec-fetch-site': 'same-site' } },
      403,
      /Another page/,
    ],
    [
      'a name made to point here',
      { path: '/desk', headers: { host: 'rebound.example:80', origin: undefined } },
      403,
      /answers at http:\/\/127\.0\.0\.1:\d+ only/,
    ],
    ['another name of this computer', { path: '/desk', headers: { host: 'localhost' } }, 403, /only/],
    ['a missing key', { path: '/desk', headers: { cookie: undefined } }, 403, /key is missing/],
    [
      'a wrong key',
      { path: '/desk', headers: { cookie: 'leanward-desk-1=nonsense' } },
      403,
      /key is missing/,
    ],
    ['a wrong key at the entrance', { path: '/enter?token=nonsense' }, 403, /not the key/],
    ['a folder above', { path: '/plan?name=..%2Fsecret.yaml' }, 403, /own folder only/],
    ['an absolute path', { path: '/plan?name=%2Fetc%2Fpasswd' }, 403, /own folder only/],
    ['a file that is no plan', { path: '/plan?name=.leanward-desk' }, 403, /own folder only/],
    ['a link out of the folder', { path: '/plan?name=linked.yaml' }, 403, /no plain file/],
    ['a plan as a lamp’s file', { path: `/lamp-file?name=${PANTRY}` }, 200, /"text":null/],
    ['a photometric file above', { path: '/lamp-file?name=..%2Fsecret.ies' }, 200, /"text":null/],
    [
      'writing a folder above',
      { method: 'PUT', path: '/plan?name=..%2Fnew.yaml', body: '{"text":"a","mark":""}' },
      403,
      /own folder only/,
    ],
    [
      'writing through a link',
      { method: 'PUT', path: '/plan?name=linked.yaml', body: '{"text":"a","mark":""}' },
      403,
      /no plain file/,
    ],
    [
      'writing through a link to nothing',
      { method: 'PUT', path: '/plan?name=dangling.yaml', body: '{"text":"a","mark":""}' },
      403,
      /no plain file/,
    ],
    [
      'a plan of 10 MB',
      {
        method: 'PUT',
        path: '/plan?name=big.yaml',
        body: JSON.stringify({ text: '#'.repeat(10_000_000), mark: '' }),
      },
      413,
      /at most 1 MB/,
    ],
    [
      'a plan of 2 MB',
      {
        method: 'PUT',
        path: '/plan?name=big.yaml',
        body: JSON.stringify({ text: '#'.repeat(2_000_000), mark: '' }),
      },
      413,
      /at most 1 MB/,
    ],
    [
      'unsaved text of 2 MB',
      {
        method: 'PUT',
        path: '/unsaved?name=big.yaml',
        body: JSON.stringify({ text: '#'.repeat(2_000_000), base: '', count: '0', window: '' }),
      },
      413,
      /at most 1 MB/,
    ],
    ['what is no JSON', { method: 'PUT', path: '/plan?name=big.yaml', body: 'text' }, 400, /not JSON/],
    ['what there is not', { path: '/elsewhere' }, 404, /nothing of that name/],
  ];

  it.each(refused)('refuses %s, and writes nothing', async (_, asking, status, words) => {
    const before = everything(folder);
    // A server that has said no may hang up on the rest of a long request.
    const answer = await ask(desk, asking).catch((error: NodeJS.ErrnoException) => error.code);
    if (typeof answer === 'string') expect(['EPIPE', 'ECONNRESET']).toContain(answer);
    else {
      expect(answer?.body).toMatch(words);
      expect(answer?.status).toBe(status);
    }
    expect(everything(folder)).toEqual(before);
    expect(readdirSync(outside)).toEqual(['secret.yaml']);
    expect(readFileSync(join(outside, 'secret.yaml'), 'utf8')).toBe('secret');
  });

  it('writes a plan over the bytes it was read from, and over no others', async () => {
    const path = join(folder, 'wire-rack.plan.yaml');
    const text = `${readFileSync(path, 'utf8')}# typed\n`;
    const mark = markOf(path);
    expect(JSON.parse((await save(desk, 'wire-rack.plan.yaml', text, mark)).body)).toMatchObject({
      saved: true,
    });
    expect(readFileSync(path, 'utf8')).toBe(text);
    const late = JSON.parse((await save(desk, 'wire-rack.plan.yaml', 'late', mark)).body);
    expect(late).toEqual({ saved: false, text, mark: markOf(path) });
    expect(readFileSync(path, 'utf8')).toBe(text);
  });

  it('keeps what was typed beside the plan until it is saved', async () => {
    const opened: OpenedPlan = JSON.parse((await ask(desk, { path: `/plan?name=${PANTRY}` })).body);
    const body = {
      text: `${opened.text}# more\n`,
      base: opened.mark,
      count: String(opened.count),
      window: 'one',
    };
    const keep = () =>
      ask(desk, { method: 'PUT', path: `/unsaved?name=${PANTRY}`, body: JSON.stringify(body) });
    expect(JSON.parse((await keep()).body)).toEqual({ kept: true, count: opened.count + 1 });
    // The same again is of an older count: another window may have typed meanwhile.
    expect(JSON.parse((await keep()).body)).toMatchObject({ kept: false, text: body.text });
    const listed: Desk = JSON.parse((await ask(desk, { path: '/desk' })).body);
    expect(listed.plans).toContainEqual({ name: PANTRY, unsaved: true });
    expect(JSON.parse((await ask(desk, { path: `/plan?name=${PANTRY}` })).body).unsaved.text).toBe(body.text);
    await save(desk, PANTRY, body.text, opened.mark);
    expect(existsSync(join(folder, `.${PANTRY}.unsaved`))).toBe(false);
  });

  it('is one a folder: a second command says where the first one is', async () => {
    const second = await startDesk(folder);
    expect(second).toMatchObject({ already: true, address: desk.address });
    const { code, out } = await leanward('desk', '--no-open', join(folder, PANTRY));
    expect(code).toBe(0);
    expect(out).toMatch(/Another desk has .* open already, at http:\/\/127\.0\.0\.1/);
  });

  it('loads its first view in at most 350 KB of JavaScript, compressed', async () => {
    const { body } = await ask(desk, { path: '/' });
    const queue = [...body.matchAll(/src="(\/[^"]+\.js)"/g)].map((match) => match[1] ?? '');
    queue.push('/worker.js');
    const seen = new Map<string, number>();
    for (let name = queue.pop(); name !== undefined; name = queue.pop()) {
      if (seen.has(name)) continue;
      const text = (await ask(desk, { path: name })).body;
      seen.set(name, gzipSync(text, { level: 9 }).length);
      // What is imported at once; `import(…)` waits until it is needed.
      for (const [, target = ''] of text.matchAll(/(?:from|import)"\.\/([\w-]+\.js)"/g))
        queue.push(`/${target}`);
    }
    const total = [...seen.values()].reduce((sum, one) => sum + one, 0);
    console.info(
      `JavaScript of the first view: ${(total / 1024).toFixed(0)} KB compressed in ${seen.size} files`,
    );
    expect(seen.size).toBeGreaterThan(3);
    expect(total).toBeLessThanOrEqual(350 * 1024);
  });
});

describe('a desk that ends', () => {
  it('leaves nothing behind; one that is killed is followed at its address, with what was typed', async () => {
    const folder = folderWith('pantry');
    const first = await startDesk(folder);
    const opened: OpenedPlan = JSON.parse((await ask(first, { path: `/plan?name=${PANTRY}` })).body);
    const typed = { text: 'leanward: 1\n', base: opened.mark, count: String(opened.count), window: 'one' };
    await ask(first, { method: 'PUT', path: `/unsaved?name=${PANTRY}`, body: JSON.stringify(typed) });
    await end(first.child, 'SIGKILL');
    const second = await startDesk(folder);
    expect(second).toMatchObject({ already: false, address: first.address });
    const again: OpenedPlan = JSON.parse((await ask(second, { path: `/plan?name=${PANTRY}` })).body);
    expect(again.unsaved?.text).toBe(typed.text);
    expect(again.text).toBe(opened.text);
    await end(second.child);
    expect(readdirSync(folder).sort()).toEqual([`.${PANTRY}.unsaved`, PANTRY]);
    sweep(folder);
  });

  it('names what it cannot open', async () => {
    const folder = folderWith();
    mkdirSync(join(folder, 'inner'));
    for (const [path, words] of [
      [join(folder, 'notes.txt'), /is no plan's name/],
      [join(folder, 'nowhere', 'rack.plan.yaml'), /There is no folder/],
    ] as const) {
      const { code, err } = await leanward('desk', '--no-open', path);
      expect(code).toBe(2);
      expect(err).toMatch(words);
    }
    sweep(folder);
  });
});

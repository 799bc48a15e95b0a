import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Desk } from '../../../src/desk/wire.ts';
import { leanward } from '../cli/run.ts';
import {
  type Asking,
  ask,
  end,
  folderWith,
  handed,
  keep,
  opened,
  type StartedDesk,
  save,
  startDesk,
  sweep,
} from './desk.ts';

const PANTRY = 'pantry.plan.yaml';
const A_PLAN = JSON.stringify({ ...handed('a', 0), over: '' });
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
    ['a name too long', { path: `/plan?name=${'x'.repeat(300)}.yaml` }, 403, /name is too long/],
    ['a link out of the folder', { path: '/plan?name=linked.yaml' }, 403, /no plain file/],
    ['a plan as a lamp’s file', { path: `/lamp-file?name=${PANTRY}` }, 200, /"text":null/],
    ['a photometric file above', { path: '/lamp-file?name=..%2Fsecret.ies' }, 200, /"text":null/],
    [
      'writing a folder above',
      { method: 'PUT', path: '/plan?name=..%2Fnew.yaml', body: A_PLAN },
      403,
      /own folder only/,
    ],
    [
      'writing through a link',
      { method: 'PUT', path: '/plan?name=linked.yaml', body: A_PLAN },
      403,
      /no plain file/,
    ],
    [
      'writing through a link to nothing',
      { method: 'PUT', path: '/plan?name=dangling.yaml', body: A_PLAN },
      403,
      /no plain file/,
    ],
    [
      'a plan of 10 MB',
      {
        method: 'PUT',
        path: '/plan?name=big.yaml',
        body: JSON.stringify({ ...handed('#'.repeat(10_000_000), 0), over: '' }),
      },
      413,
      /at most 1 MB/,
    ],
    [
      'a plan of 2 MB',
      {
        method: 'PUT',
        path: '/plan?name=big.yaml',
        body: JSON.stringify({ ...handed('#'.repeat(2_000_000), 0), over: '' }),
      },
      413,
      /at most 1 MB/,
    ],
    [
      'unsaved text of 2 MB',
      {
        method: 'PUT',
        path: '/unsaved?name=big.yaml',
        body: JSON.stringify(handed('#'.repeat(2_000_000), 0)),
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

  it('writes a plan over the bytes its text began from or that were chosen, and over no others', async () => {
    const name = 'wire-rack.plan.yaml';
    const path = join(folder, name);
    const before = readFileSync(path, 'utf8');
    const { count, mark } = await opened(desk, name);
    const text = `${before}# typed\n`;
    const first = JSON.parse((await save(desk, name, text, count, mark)).body);
    expect(first).toMatchObject({ follows: true, saved: true, mark: markOf(path) });
    expect(readFileSync(path, 'utf8')).toBe(text);
    // Of an older count: another window may have typed meanwhile.
    const late = JSON.parse((await save(desk, name, 'late', count, first.mark)).body);
    expect(late).toEqual({ follows: false, text, count: first.count, yours: 1 });
    expect(readFileSync(path, 'utf8')).toBe(text);
    const typed = `${text}# more\n`;
    const kept = JSON.parse((await keep(desk, name, typed, first.count)).body);
    writeFileSync(path, `${text}# theirs\n`);
    const theirs = { text: `${text}# theirs\n`, mark: markOf(path) };
    const underneath = JSON.parse((await save(desk, name, typed, kept.count, first.mark)).body);
    expect(underneath).toMatchObject({ follows: true, saved: false, file: theirs });
    expect(readFileSync(path, 'utf8')).toBe(theirs.text);
    const chosen = JSON.parse((await save(desk, name, typed, kept.count, theirs.mark)).body);
    expect(chosen).toMatchObject({ follows: true, saved: true });
    expect(readFileSync(path, 'utf8')).toBe(typed);
  });

  it('keeps what was typed beside the plan until it is saved', async () => {
    const { text, mark, count } = await opened(desk, PANTRY);
    const typed = `${text}# more\n`;
    const kept = JSON.parse((await keep(desk, PANTRY, typed, count)).body);
    expect(kept).toEqual({ follows: true, count: count + 1, yours: 1 });
    expect(JSON.parse((await keep(desk, PANTRY, typed, count)).body)).toMatchObject({
      follows: false,
      text: typed,
    });
    const listed: Desk = JSON.parse((await ask(desk, { path: '/desk' })).body);
    expect(listed.plans).toContainEqual({ name: PANTRY, unsaved: true });
    expect((await opened(desk, PANTRY)).unsaved).toEqual({ text: typed, base: mark });
    await save(desk, PANTRY, typed, kept.count, mark);
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
    const { text, count } = await opened(first, PANTRY);
    await keep(first, PANTRY, 'leanward: 1\n', count);
    await end(first.child, 'SIGKILL');
    const second = await startDesk(folder);
    expect(second).toMatchObject({ already: false, address: first.address });
    const again = await opened(second, PANTRY);
    // The window learns that its text had arrived.
    expect(again).toMatchObject({ text, unsaved: { text: 'leanward: 1\n' }, yours: 1 });
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

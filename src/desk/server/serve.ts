/**
 * The desk's server: one process on the loopback address, for one folder.
 *
 * Always holds: nothing is answered before `guard.ts` let the request pass; an
 * answer is whole or a sentence that says why not; nothing is loaded from
 * elsewhere, and the browser is told so.
 */

import { randomBytes } from 'node:crypto';
import { watch } from 'node:fs';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { Failure } from '../../failure.ts';
import type { ArchiveOptions } from '../../jobs/archive.ts';
import type { EndSignal } from '../../jobs/halt.ts';
import { BODY_BYTES_MAX, type Desk, type DeskNews, type HandedText, JOB_TEXTS } from '../wire.ts';
import { PRESS_BYTES_MAX, PRESS_TEXTS, type Press } from '../wire-book.ts';
import { type Asset, type Assets, pageText } from './assets.ts';
import { BoardRoom } from './boards.ts';
import { jsonOf } from './body.ts';
import { BookDesk } from './book-desk.ts';
import { cookieName, type Door, isEntrance, letsIn, refusal } from './guard.ts';
import { LampFiles } from './lamp-files.ts';
import { PlanFault, PlanFolder } from './plans.ts';

export interface DeskServeOptions {
  readonly folder: string;
  readonly opened: string | undefined;
  /** The archive of all its plans; left out, each has its own beside it. */
  readonly archive: ArchiveOptions;
  readonly token: string;
  /** Tried first; another one is taken where it is not free. */
  readonly port: number;
  readonly assets: Assets;
}

export interface Served {
  readonly port: number;
  /** Ends the desk as a signal ends a command; what work at a controller had to say to that. */
  close(signal: EndSignal): Promise<readonly Failure[]>;
  /** Nothing is waited for any more. */
  closeAtOnce(): void;
}

/** A browser that writes much at once sends one event for many; they are told as one. */
const QUIET_MS = 80;

/** Serves the desk until it is closed. */
export async function serveDesk(options: DeskServeOptions): Promise<Served> {
  const desk = new DeskServer(options);
  await desk.listen();
  return desk;
}

class DeskServer implements Served {
  private readonly server: Server;
  private readonly plans: PlanFolder;
  private readonly boards: BoardRoom;
  private readonly lampFiles: LampFiles;
  private readonly book: BookDesk;
  private readonly listeners = new Set<ServerResponse>();
  private readonly options: DeskServeOptions;
  private door: Door = { host: '', token: '' };
  private listed = '';
  private waiting: NodeJS.Timeout | undefined;
  private watching: { close(): void } | undefined;
  port = 0;

  constructor(options: DeskServeOptions) {
    this.options = options;
    this.plans = new PlanFolder(options.folder, (news) => this.tell(news));
    this.lampFiles = new LampFiles(options.folder);
    this.boards = new BoardRoom(this.plans, options.archive, (job) => this.tell({ kind: 'job', job }));
    this.book = new BookDesk(this.plans, options.archive);
    this.server = createServer((request, response) => void this.take(request, response));
  }

  async listen(): Promise<void> {
    this.port = await listenOn(this.server, this.options.port);
    this.door = { host: `127.0.0.1:${this.port}`, token: this.options.token };
    this.watching = watch(this.options.folder, this.stir);
  }

  /** Something in the folder, or in one within, changed. */
  private readonly stir = (): void => {
    clearTimeout(this.waiting);
    this.waiting = setTimeout(() => this.lookAround(), QUIET_MS);
  };

  async close(signal: EndSignal): Promise<readonly Failure[]> {
    const failures = await this.boards.end(signal);
    this.watching?.close();
    this.lampFiles.close();
    this.book.close();
    clearTimeout(this.waiting);
    for (const response of this.listeners) response.end();
    this.server.close();
    this.server.closeAllConnections();
    return failures;
  }

  closeAtOnce(): void {
    this.boards.endAtOnce();
  }

  /** Tells every window; windows know their own by its name. */
  private tell(told: DeskNews): void {
    for (const response of this.listeners) response.write(`data: ${JSON.stringify(told)}\n\n`);
  }

  /** Something in the folder changed. */
  private lookAround(): void {
    this.plans.lookAround();
    for (const name of this.lampFiles.changed()) this.tell({ kind: 'lamp-file', file: name });
    for (const name of this.book.changed()) this.tell({ kind: 'book', name });
    const listed = this.plans
      .list(this.options.opened)
      .map(({ name }) => name)
      .join('/');
    if (listed !== this.listed) this.tell({ kind: 'folder' });
    this.listed = listed;
  }

  private async take(request: IncomingMessage, response: ServerResponse): Promise<void> {
    try {
      const why = refusal(request, this.door);
      if (why !== undefined) return refuse(request, response, 403, why);
      if (isEntrance(request)) return this.enter(request, response);
      await this.route(request, response);
    } catch (error) {
      const [status, words] = faultOf(error);
      refuse(request, response, status, words);
    }
  }

  private enter(request: IncomingMessage, response: ServerResponse): void {
    if (!letsIn(request, this.door)) {
      refuse(
        request,
        response,
        403,
        'This is not the key of this desk. Open the address that `leanward desk` prints.',
      );
      return;
    }
    const cookie = `${cookieName(this.door)}=${this.door.token}; HttpOnly; SameSite=Strict; Path=/`;
    response.writeHead(303, { ...SAFE, location: '/', 'set-cookie': cookie }).end();
  }

  private async route(request: IncomingMessage, response: ServerResponse): Promise<void> {
    const url = new URL(request.url ?? '/', `http://${this.door.host}`);
    const name = url.searchParams.get('name') ?? '';
    const what = `${request.method} ${url.pathname}`;
    const asset = request.method === 'GET' ? this.options.assets.get(url.pathname) : undefined;
    if (asset) return sendAsset(response, asset);
    switch (what) {
      case 'GET /':
        return this.page(response);
      case 'GET /desk':
        return sendJson(response, this.desk());
      case 'GET /told':
        return this.hear(response, url.searchParams.get('window') ?? '');
      case 'GET /plan':
        return sendJson(response, this.plans.open(name, url.searchParams.get('window') ?? ''));
      case 'GET /lamp-file':
        return sendJson(response, { text: this.lampFiles.read(name, this.stir) ?? null });
      case 'PUT /plan': {
        const handed = await textsOf(request, [...HANDED, 'over']);
        return sendJson(response, this.plans.save(name, handedOf(handed), handed.over));
      }
      case 'PUT /unsaved':
        return sendJson(response, this.plans.keep(name, handedOf(await textsOf(request, HANDED))));
      case 'GET /boards':
        return sendJson(response, await this.boards.list());
      case 'PUT /job':
        return sendJson(response, await this.boards.begin(await textsOf(request, JOB_TEXTS)));
      case 'PUT /job/answer': {
        const { id, question, answer } = await textsOf(request, ['id', 'question', 'answer']);
        this.boards.answer(Number(id), Number(question), answer);
        return sendJson(response, {});
      }
      case 'PUT /job/stop':
        this.boards.stop(Number((await textsOf(request, ['id'])).id));
        return sendJson(response, {});
      case 'GET /evening':
        return sendJson(response, await this.book.evening(name));
      case 'GET /would-move':
        return sendJson(response, await this.book.wouldMove(name, pressIn(url.searchParams)));
      case 'GET /lived':
        return sendJson(response, await this.book.lived(name));
      case 'GET /rates':
        return sendJson(response, await this.book.rates(name));
      case 'GET /review':
        return sendJson(response, await this.book.review(name, url.searchParams.get('lot') ?? ''));
      case 'GET /photo':
        return sendAsset(response, await this.book.photo(name, url.searchParams.get('photo') ?? ''));
      case 'PUT /press': {
        const body = await jsonOf(
          request,
          PRESS_BYTES_MAX,
          'A photo has at most 20 MB. Nothing was written.',
        );
        const pressed = await this.book.press(name, textsIn(body, PRESS_TEXTS));
        this.tell({ kind: 'book', name });
        return sendJson(response, pressed);
      }
      default:
        return refuse(request, response, 404, 'There is nothing of that name on this desk.');
    }
  }

  private desk(): Desk {
    const { folder, opened } = this.options;
    return { folder, opened, plans: this.plans.list(opened) };
  }

  private page(response: ServerResponse): void {
    const nonce = randomBytes(16).toString('base64');
    response
      .writeHead(200, {
        ...SAFE,
        'content-type': 'text/html; charset=utf-8',
        'content-security-policy': policy(nonce),
      })
      .end(pageText(nonce));
  }

  private hear(response: ServerResponse, window: string): void {
    response.writeHead(200, { ...SAFE, 'content-type': 'text/event-stream' });
    response.write(': here\n\n');
    this.listeners.add(response);
    this.boards.here(window);
    response.once('close', () => {
      this.listeners.delete(response);
      this.boards.gone(window);
    });
  }
}

/** Listens on a port of the loopback address; where it is taken, on any that is free. */
function listenOn(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      if (error.code === 'EADDRINUSE' && port !== 0) listenOn(server, 0).then(resolve, reject);
      else reject(error);
    });
    server.listen(port, '127.0.0.1', () => {
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : 0);
    });
  });
}

/** Headers of every answer. */
const SAFE = {
  'cache-control': 'no-store',
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'referrer-policy': 'no-referrer',
  'x-content-type-options': 'nosniff',
} as const;

/** Only what this server gives, and the styles that the text editor makes with the page's own nonce. */
function policy(nonce: string): string {
  return [
    "default-src 'none'",
    "script-src 'self'",
    "worker-src 'self'",
    `style-src 'self' 'nonce-${nonce}'`,
    "img-src 'self' data:",
    "connect-src 'self'",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ');
}

/** A script may fetch its own parts: a worker lives by what its own file is sent with, not by the page's policy. */
function sendAsset(response: ServerResponse, { type, bytes }: Asset): void {
  const fetches = "default-src 'none'; script-src 'self'; frame-ancestors 'none'";
  response.writeHead(200, { ...SAFE, 'content-security-policy': fetches, 'content-type': type }).end(bytes);
}

function sendJson(response: ServerResponse, value: object): void {
  response.writeHead(200, { ...SAFE, 'content-type': 'application/json' }).end(JSON.stringify(value));
}

/** A sentence; what is still coming of the request is not waited for. */
function refuse(request: IncomingMessage, response: ServerResponse, status: number, words: string): void {
  if (response.headersSent) return void response.end();
  const closing = request.complete ? {} : { connection: 'close' };
  response
    .writeHead(status, { ...SAFE, ...closing, 'content-type': 'text/plain; charset=utf-8' })
    .end(`${words}\n`);
}

function faultOf(error: unknown): [status: number, words: string] {
  if (error instanceof PlanFault) return [error.status, error.message];
  if (error instanceof Failure) return [409, [error.message, error.hint].filter(Boolean).join(' ')];
  return [
    500,
    `Something went wrong inside Leanward itself: ${error instanceof Error ? error.message : String(error)}`,
  ];
}

const HANDED = ['text', 'count', 'window', 'number'] as const;

function handedOf({ text, count, window, number }: Record<(typeof HANDED)[number], string>): HandedText {
  return { text, count: Number(count), window, number: Number(number) };
}

/** The named texts of a JSON body. */
async function textsOf<K extends string>(
  request: IncomingMessage,
  keys: readonly K[],
): Promise<Record<K, string>> {
  return textsIn(
    await jsonOf(request, BODY_BYTES_MAX, 'A plan has at most 1 MB. Nothing was written.'),
    keys,
  );
}

/** A press of which an address says some texts. */
const pressIn = (words: URLSearchParams): Press =>
  textsIn(Object.fromEntries(PRESS_TEXTS.map((key) => [key, words.get(key) ?? ''])), PRESS_TEXTS);

function textsIn<K extends string>(body: Record<string, unknown>, keys: readonly K[]): Record<K, string> {
  const found: Partial<Record<K, string>> = {};
  for (const key of keys) {
    const value = body[key];
    if (typeof value !== 'string') throw new PlanFault(400, `The request says no ${key}.`);
    found[key] = value;
  }
  return found as Record<K, string>;
}

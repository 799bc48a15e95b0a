/**
 * Who may ask the desk's server for anything: the page it served itself, in a
 * browser that was let in with the token.
 *
 * Always holds: a request that names another host (a name made to point here),
 * comes from another page, or brings no token is refused with a sentence, and
 * nothing is done for it.
 */

import { timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** The one address and the one key. */
export interface Door {
  /** `127.0.0.1:PORT`. */
  readonly host: string;
  readonly token: string;
}

/** Where the token is exchanged for a cookie. */
export const ENTRANCE = '/enter';

/** Cookies know no ports: each desk has its own. */
export const cookieName = ({ host }: Door): string => `leanward-desk-${host.split(':')[1]}`;

/** Why a request is refused; undefined when it may pass. */
export function refusal(request: IncomingMessage, door: Door): string | undefined {
  const { headers, method } = request;
  const own = `http://${door.host}`;
  if (headers.host !== door.host)
    return `This desk answers at ${own} only, not at ${harmlessName(headers.host)}.`;
  const { origin } = headers;
  const changes = method !== 'GET' && method !== 'HEAD';
  if ((origin !== undefined || changes) && origin !== own)
    return `Another page asked (${harmlessName(origin)}). Only the desk's own page may.`;
  const site = headers['sec-fetch-site'];
  if (site !== undefined && site !== 'same-origin' && site !== 'none')
    return 'Another page asked. Open the desk by the address that `leanward desk` prints.';
  if (isEntrance(request)) return undefined;
  if (!sameText(cookieOf(headers.cookie, cookieName(door)), door.token))
    return 'The key is missing or is of an earlier desk. Open the address that `leanward desk` prints.';
  return undefined;
}

/** Whether a request asks to be let in with the right token. */
export function letsIn(request: IncomingMessage, door: Door): boolean {
  const token = new URL(request.url ?? '/', `http://${door.host}`).searchParams.get('token');
  return isEntrance(request) && sameText(token ?? '', door.token);
}

export function isEntrance(request: IncomingMessage): boolean {
  return request.method === 'GET' && (request.url ?? '').split('?')[0] === ENTRANCE;
}

function sameText(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}

function cookieOf(header: string | undefined, name: string): string {
  for (const part of (header ?? '').split(';')) {
    const [key, value] = part.trim().split('=');
    if (key === name) return value ?? '';
  }
  return '';
}

/** What somebody sent, short and plain enough to be said back. */
function harmlessName(text: string | undefined): string {
  return (text ?? 'no name').replace(/[^\w.:/-]/g, '?').slice(0, 80);
}

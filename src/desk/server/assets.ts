/**
 * What the desk's page is made of: files built beside the command, read once.
 *
 * Always holds: a running desk serves one build, also while another is made.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { html } from '../../page/html.ts';

export interface Asset {
  readonly type: string;
  readonly bytes: Uint8Array;
}

/** By path, such as `/desk.js`. */
export type Assets = ReadonlyMap<string, Asset>;

const TYPES: Readonly<Record<string, string>> = {
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
};

/** Reads the built files of a folder. */
export function readAssets(folder: string): Assets {
  const found = new Map<string, Asset>();
  for (const name of readdirSync(folder)) {
    const type = TYPES[name.slice(name.lastIndexOf('.') + 1)];
    if (type !== undefined) found.set(`/${name}`, { type, bytes: readFileSync(join(folder, name)) });
  }
  return found;
}

/** The page itself; `nonce` lets the text editor make its styles. */
export function pageText(nonce: string): string {
  return html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><meta name="leanward-nonce" content="${nonce}">
<title>Leanward</title><link rel="icon" href="data:,"><link rel="stylesheet" href="/style.css">
<script type="module" src="/desk.js"></script></head>
<body><div id="desk"><p class="waiting">The desk is being laid.</p></div>
<noscript>The desk needs JavaScript.</noscript></body></html>
`.text;
}

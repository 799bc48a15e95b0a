/** Debian's Chromium for tests, with a profile of its own that is gone afterwards. */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium } from 'playwright-core';

type ContextOptions = NonNullable<Parameters<typeof chromium.launchPersistentContext>[1]>;

export interface OpenedBrowser {
  readonly context: BrowserContext;
  close(): Promise<void>;
}

/** Starts a browser that talks to nobody but those it is sent to. */
export async function openChromium(options: ContextOptions = {}): Promise<OpenedBrowser> {
  const profile = mkdtempSync(join(tmpdir(), 'leanward-browser-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: '/usr/bin/chromium',
    headless: true,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
    ...options,
  });
  // What does not come is ended by the time limit of the test's kind.
  context.setDefaultTimeout(0);
  const close = async (): Promise<void> => {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  };
  return { context, close };
}

/**
 * Opens the desk of a folder: a new one, or the one that runs there already.
 */

import { fileURLToPath } from 'node:url';
import { withoutPassword } from '../../archive/open-postgres.ts';
import { type Failure, usage } from '../../failure.ts';
import { whileLocked } from '../../files/lock.ts';
import { type ArchiveOptions, wholePlace } from '../../jobs/archive.ts';
import type { EndSignal } from '../../jobs/halt.ts';
import { readAssets } from './assets.ts';
import { placeOf } from './plans.ts';
import {
  answers,
  endRunning,
  freshToken,
  type Running,
  readRunning,
  runningPath,
  sweepLeftovers,
  writeRunning,
} from './running.ts';
import { type Served, serveDesk } from './serve.ts';

export interface OpenedDesk {
  /** With the token; it leaves the address bar at once. */
  readonly address: string;
  readonly folder: string;
  /** Undefined where another process has this folder's desk. */
  readonly served: Served | undefined;
  /** Ends the desk; the folder is free for another. What work at a controller had to say to being stopped. */
  close(signal: EndSignal): Promise<readonly Failure[]>;
}

const ASSETS = 'desk/';

const addressOf = ({ port, token }: Running): string => `http://127.0.0.1:${port}/enter?token=${token}`;

/** Opens the desk of a plan's folder, with one archive for all its plans where one is named. Throws Failure. */
export function openDesk(path: string | undefined, options: ArchiveOptions): Promise<OpenedDesk> {
  const { folder, opened } = placeOf(path);
  // As typed, one file has many names: the desk and the next one may be started from different folders.
  const archive = options.archive ? { ...options, archive: wholePlace(options.archive) } : options;
  return whileLocked(runningPath(folder), async () => {
    const earlier = readRunning(folder);
    const named = withoutPassword(archive.archive ?? '');
    const isRunning = earlier !== undefined && (await answers(earlier));
    if (isRunning && named !== '' && named !== earlier.archive)
      throw usage(
        `Another desk has ${folder} open already, with ${earlier.archive || 'the archives beside its plans'}.`,
        'End that one first, or leave --archive away to go to it.',
      );
    if (isRunning) return { address: addressOf(earlier), folder, served: undefined, close: async () => [] };
    if (earlier) sweepLeftovers(folder);
    const token = earlier?.token ?? freshToken();
    const assets = readAssets(fileURLToPath(new URL(ASSETS, import.meta.url)));
    const served = await serveDesk({ folder, opened, archive, token, port: earlier?.port ?? 0, assets });
    const running = { pid: process.pid, port: served.port, token, archive: named };
    writeRunning(folder, running);
    const close = async (signal: EndSignal): Promise<readonly Failure[]> => {
      const failures = await served.close(signal);
      endRunning(folder);
      return failures;
    };
    return { address: addressOf(running), folder, served, close };
  });
}

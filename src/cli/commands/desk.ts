/** `desk`: opens the page on which the whole job is done. */

import { spawn } from 'node:child_process';
import type { Command } from 'commander';
import { openDesk } from '../../desk/server/desk.ts';
import { ARCHIVE_OPTION, type ArchiveOptions } from '../../jobs/archive.ts';
import { type EndSignal, exitCodeOf } from '../../jobs/halt.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options extends ArchiveOptions {
  /** Commander's name for `--no-open`. */
  readonly open: boolean;
  readonly json?: boolean;
}

/** Adds what `desk` takes. */
export function define(command: Command): void {
  command
    .description(
      'Opens a page in the browser on which the whole job is done. The page is served by this computer to ' +
        'this computer alone; nothing is loaded from elsewhere. Ends with Ctrl-C.',
    )
    .argument('[plan]', 'the plan file, or a folder with plans; else the folder one is in')
    .option(...ARCHIVE_OPTION)
    .option('--no-open', 'do not open a browser, only print the address')
    .option('--json', 'print the address as JSON, then run')
    .addHelpText('after', '\nExample:\n  leanward desk rack.plan.yaml')
    .action((plan: string | undefined, options: Options) => run(plan, options));
}

async function run(plan: string | undefined, { open, json, archive }: Options): Promise<void> {
  const desk = await openDesk(plan, archive === undefined ? {} : { archive });
  const { address, folder, served } = desk;
  if (json) sayJson({ address, folder, already: served === undefined });
  else if (served) say(`The desk of ${folder} is at ${address}\nCtrl-C ends it.`);
  else say(`Another desk has ${folder} open already, at ${address}`);
  if (open) openInBrowser(address);
  if (!served) return;
  const signal = await untilEnded();
  untilEnded().then((again) => {
    served.closeAtOnce();
    process.exit(exitCodeOf(again));
  });
  for (const { message, exitCode } of await desk.close(signal)) {
    remark(message);
    process.exitCode = exitCode;
  }
  // What was asked at the last moment, and would go on in a thread, has nobody to be told to.
  process.exit();
}

/** Hands the address to the system; where that knows no browser, the address was printed. */
function openInBrowser(address: string): void {
  const [program, ...words] = openerOf(address);
  const child = spawn(program, words, { stdio: 'ignore', detached: true });
  child.once('error', () => remark('No browser could be opened; copy the address into one.'));
  child.unref();
}

function openerOf(address: string): [string, ...string[]] {
  if (process.platform === 'darwin') return ['open', address];
  if (process.platform === 'win32') return ['rundll32', 'url.dll,FileProtocolHandler', address];
  return ['xdg-open', address];
}

function untilEnded(): Promise<EndSignal> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      process.once(signal, () => resolve(signal));
  });
}

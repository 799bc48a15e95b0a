/** `virtual`: a controller inside this computer, for other programs to talk to. */

import type { Command } from 'commander';
import { EVENT_HELP } from '../../answers/simulate/events.ts';
import { usage } from '../../failure.ts';
import { optionalPlan } from '../../jobs/of-plan.ts';
import { isMade } from '../../virtual/makers.ts';
import { openVirtual, prepare, type VirtualOptions } from '../../virtual/port.ts';
import { serveWorld } from '../../virtual/server.ts';
import { eachGiven } from '../options/port.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options extends VirtualOptions {
  readonly tcp: string;
  readonly speed: string;
  readonly chip?: boolean;
  readonly plan?: string;
  readonly controller?: string;
  readonly json?: boolean;
}

const DEFAULT_TCP = '15020';
const FASTEST = 1000;

/** Adds what `virtual` takes. */
export function define(command: Command): void {
  if (isMade('chip'))
    command.option('--chip', 'emulate the chip with its real firmware, not the simulated controller');
  command
    .description(
      'Runs a controller inside this computer and lets other programs talk to it over a TCP port of this computer ' +
        '(Modbus RTU bytes, as on the serial line). Opening a connection is opening the port: the controller restarts.',
    )
    .argument('[file]', 'the file that keeps it; without one it is gone when the command ends')
    .option('--tcp <port>', 'TCP port on 127.0.0.1; 0 takes a free one', DEFAULT_TCP)
    .option('--speed <n>', 'how many times faster its time runs', '1')
    .option('--plan <file>', 'a plan: a new controller starts at its first sealing midnight, on its board')
    .option('--controller <name>', 'which controller of the plan this is')
    .option('--at <time>', 'the date (or date and time) a new controller starts at')
    .option('--board <id>', 'the board of a new controller')
    .option('--advance <time>', 'let this much time pass first, such as 7d')
    .option('--event <event>', 'make something happen (may be repeated)', eachGiven)
    .option('--json', 'print the address as JSON, then run')
    .addHelpText(
      'after',
      `${EVENT_HELP}\n\nExample:\n  leanward virtual rack.json --at 2026-02-16 --speed 60\n` +
        '  then: socat PTY,link=rack.tty,raw,echo=0 TCP:127.0.0.1:15020',
    )
    .action((file: string | undefined, options: Options) => run(file, options));
}

async function run(file: string | undefined, options: Options): Promise<void> {
  const tcp = numberIn(options.tcp, '--tcp', 0, 65_535, true);
  const speed = numberIn(options.speed, '--speed', 0.01, FASTEST, false);
  const { context } = await optionalPlan(options.plan, options.controller);
  const rest = options.chip ? `chip:${file ?? ''}` : (file ?? '');
  const opened = await openVirtual(rest, options, context);
  try {
    await prepare(opened, options);
    const server = await serveWorld(opened.world, { tcp, speed, save: opened.save });
    if (options.json) sayJson({ host: '127.0.0.1', port: server.port, speed });
    else
      say(
        `A virtual controller listens on 127.0.0.1:${server.port}, at ${speed} times real time. Ctrl-C ends it.`,
      );
    await untilStopped();
    server.stop();
    opened.save();
    if (file !== undefined) remark(`Kept in ${file}.`);
  } finally {
    opened.release();
  }
}

function numberIn(text: string, option: string, low: number, high: number, whole: boolean): number {
  const value = Number(text);
  if (text.trim() !== '' && value >= low && value <= high && (!whole || Number.isInteger(value)))
    return value;
  throw usage(`${option} ${text} is not a number from ${low} to ${high}.`);
}

function untilStopped(): Promise<void> {
  return new Promise((resolve) => {
    process.once('SIGINT', () => resolve());
    process.once('SIGTERM', () => resolve());
    process.once('SIGHUP', () => resolve());
  });
}

/** The options of every command that talks to a controller. */

import type { Command } from 'commander';
import { unitNumber } from '../../jobs/port.ts';

/** Adds --port, --unit and what a virtual port takes. */
export function addPortOptions(command: Command): Command {
  return command
    .option('--port <port>', 'serial port, or virtual, or virtual:FILE for a controller inside this program')
    .option('--unit <n>', 'unit number of the controller (1 unless it was changed)', unitNumber)
    .option('--at <time>', 'virtual only: the date (or date and time) a new virtual controller starts at')
    .option('--board <id>', 'virtual only: the board of a new virtual controller')
    .option('--advance <time>', 'virtual only: let this much time pass first, such as 7d')
    .option(
      '--event <event>',
      "virtual only: make something happen, such as '+2d cut 2h'; may be repeated (see leanward virtual --help)",
      eachGiven,
    )
    .option('--json', 'print the result as JSON');
}

/** Gathers an option that may be given several times. */
export function eachGiven(text: string, before: readonly string[] | undefined): readonly string[] {
  return [...(before ?? []), text];
}

/**
 * `install`: puts a board's firmware on the chip through the boot loader it
 * came with, so that nothing else needs to be installed.
 */

import type { Command } from 'commander';
import { usage } from '../../../failure.ts';
import { BOARD_FILES } from '../../../files/board-facts.ts';
import { type Installed, install } from '../../../jobs/install.ts';
import { isVirtual } from '../../../jobs/open-port.ts';
import { unitNumber, withPort } from '../../../jobs/port.ts';
import { say, sayJson } from '../../terminal.ts';

interface Options {
  readonly port?: string;
  readonly board?: string;
  readonly unit?: number;
  readonly json?: boolean;
}

/** Adds what `install` takes. */
export function define(command: Command): void {
  command
    .description(
      "Puts a board's firmware on its chip over USB, through the boot loader the board came with.\n" +
        'The table on the board is kept. The lamps are dark meanwhile, for about half a minute.',
    )
    .option('--port <port>', 'serial port')
    .option(
      '--board <id>',
      `which board it is: ${BOARD_FILES.map(({ id }) => id).join(', ')} (not needed when its firmware is only renewed)`,
    )
    .option('--unit <n>', 'unit number of the controller (1 unless it was changed)', unitNumber)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward install --port /dev/ttyUSB0 --board mega328-relay8')
    .action((options: Options) => run(options));
}

async function run(options: Options): Promise<void> {
  if (isVirtual(options.port))
    throw usage(
      'A virtual controller needs no firmware.',
      'Give the serial port of a board; `leanward ports` lists them.',
    );
  const done = await withPort(options, {}, (port, unit) => install(port, unit, options.board));
  if (options.json) sayJson(done);
  else for (const line of doneLines(done)) say(line);
}

function doneLines({ board, loader, bytes, revision, table }: Installed): string[] {
  return [
    `Firmware of ${board} installed and read back: ${bytes.toLocaleString('en')} bytes, through the boot loader version ${loader.version} at ${loader.baud.toLocaleString('en')} baud.`,
    `The controller answers, revision ${revision}. ${table ? 'The table that was on it runs.' : 'No table is on it yet: `leanward flash` puts one there.'}`,
  ];
}

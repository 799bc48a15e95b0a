/** `ports`: the serial ports of this computer. */

import type { Command } from 'commander';
import { listPorts } from '../../link/real-port.ts';
import { columns } from '../../words/columns.ts';
import { say, sayJson } from '../terminal.ts';

/** Adds what `ports` takes. */
export function define(command: Command): void {
  command
    .description('Lists the serial ports of this computer, those that a controller is likely on first.')
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward ports')
    .action((options: { json?: boolean }) => run(options));
}

async function run({ json }: { json?: boolean }): Promise<void> {
  const ports = await listPorts();
  if (json) {
    sayJson({ ports });
    return;
  }
  if (ports.length === 0) say('This computer has no serial port. Plug the controller in and try again.');
  for (const line of columns(ports.map(({ path, title, likely }) => [path, likely ? 'USB' : '', title])))
    say(line);
  say('Without hardware: virtual, or virtual:FILE to keep the controller in a file.');
}

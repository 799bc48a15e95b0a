/**
 * From the grower's --port to a port: a serial port, or a virtual controller.
 */

import { itemAt } from '../../shared/assert.ts';
import { usage } from '../failure.ts';
import type { Port } from '../link/port.ts';
import { listPorts, realPort } from '../link/real-port.ts';
import type { VirtualContext, VirtualOptions } from '../virtual/port.ts';
import { face } from './face.ts';

/** What a virtual controller takes from the plan, when there is one. */
export type PortContext = VirtualContext;

export interface OpenPortOptions extends VirtualOptions {
  readonly port?: string;
}

const VIRTUAL = /^virtual(?::(.*))?$/;

/** True when `port` names a controller inside this program. */
export function isVirtual(port: string | undefined): boolean {
  return port !== undefined && VIRTUAL.test(port);
}

/** The port that the options name, or the only likely one there is. */
export async function openPort(options: OpenPortOptions, context: PortContext): Promise<Port> {
  const name = options.port ?? (await onlyPort());
  const match = VIRTUAL.exec(name);
  if (!match) {
    refuseVirtualOptions(options);
    return realPort(name);
  }
  const { virtualPort } = await import('../virtual/port.ts');
  return virtualPort(name, match[1] ?? '', options, context, face.progress('Letting time pass'));
}

function refuseVirtualOptions(options: OpenPortOptions): void {
  for (const key of ['at', 'board', 'advance', 'event'] as const) {
    if (options[key] === undefined) continue;
    throw usage(`--${key} works on virtual ports only.`, 'Add --port virtual:FILE, or leave it out.');
  }
}

async function onlyPort(): Promise<string> {
  const likely = (await listPorts()).filter((port) => port.likely);
  if (likely.length === 1) {
    face.remark(`Using ${itemAt(likely, 0).path} (${itemAt(likely, 0).title}).`);
    return itemAt(likely, 0).path;
  }
  const found = likely.length === 0 ? 'There is no USB serial port.' : 'There are several serial ports.';
  throw usage(
    `${found} Say which one with --port.`,
    likely.map(({ path, title }) => `  --port ${path}   ${title}`).join('\n') ||
      '  Plug the controller in, or try without hardware: --port virtual:rack.json',
  );
}

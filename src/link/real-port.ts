/**
 * The computer's own serial ports.
 *
 * Always holds: listing never ends the program, also where the system's device
 * manager is missing (the serial library would).
 */

import { accessSync, constants, readdirSync, readlinkSync } from 'node:fs';
import { basename, delimiter, join } from 'node:path';
import { DEFAULT_BAUD } from '../../shared/registers.ts';
import { realPace } from './pace.ts';
import type { Port } from './port.ts';

export interface ListedPort {
  /** What to give to --port. */
  readonly path: string;
  /** What is plugged in there, as far as the system says. */
  readonly title: string;
  /** Likely a controller: a USB serial port. */
  readonly likely: boolean;
}

/** A serial port of this computer; it is opened later. */
export async function realPort(path: string): Promise<Port> {
  const { autoDetect } = await import('@serialport/bindings-cpp');
  return {
    path,
    baudRate: DEFAULT_BAUD,
    binding: autoDetect(),
    pace: realPace,
    virtual: false,
    remarks: () => [],
    finish: () => undefined,
  };
}

/** The serial ports of this computer, USB ports first. */
export async function listPorts(): Promise<readonly ListedPort[]> {
  const listed = process.platform === 'linux' && !hasUdevadm() ? fromDev() : await fromSystem();
  return [...listed].sort((a, b) => Number(b.likely) - Number(a.likely) || a.path.localeCompare(b.path));
}

async function fromSystem(): Promise<ListedPort[]> {
  const { autoDetect } = await import('@serialport/bindings-cpp');
  const ports = await autoDetect().list();
  return ports.map(({ path, manufacturer, serialNumber, vendorId }) => ({
    path,
    title: [manufacturer, serialNumber].filter(Boolean).join(' ') || 'no description',
    likely: vendorId !== undefined || isUsb(path),
  }));
}

/** Where there is no device manager: the names that serial ports have on Linux. */
function fromDev(): ListedPort[] {
  const titles = byId();
  return namesIn('/dev')
    .filter((name) => /^(tty(USB|ACM|AMA|S)\d+|rfcomm\d+)$/.test(name))
    .map((name) => ({
      path: `/dev/${name}`,
      title: titles.get(name) ?? 'no description',
      likely: isUsb(name),
    }));
}

function byId(): Map<string, string> {
  const folder = '/dev/serial/by-id';
  return new Map(namesIn(folder).map((name) => [basename(readlinkSync(join(folder, name))), name]));
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}

const isUsb = (path: string): boolean => /tty(USB|ACM)|cu\.usb|tty\.usb/.test(path);

function hasUdevadm(): boolean {
  const folders = [...(process.env.PATH ?? '').split(delimiter)];
  return folders.some((folder) => {
    try {
      accessSync(join(folder, 'udevadm'), constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });
}

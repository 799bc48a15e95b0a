/**
 * The computer's own serial ports.
 *
 * Always holds: the serial library is loaded only when a real port is asked for;
 * listing never ends the program, also where the system's device manager is
 * missing (the library would).
 */

import { accessSync, constants, readdirSync, readlinkSync } from 'node:fs';
import { basename, delimiter, join } from 'node:path';
import type { SerialPort } from 'serialport';
import { itemAt } from '../../shared/assert.ts';
import { DEFAULT_BAUD } from '../../shared/registers.ts';
import { Failure } from '../failure.ts';
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
  const { binding } = await loadSerialPort();
  return {
    path,
    baudRate: DEFAULT_BAUD,
    binding,
    pace: realPace,
    virtual: false,
    remarks: () => [],
    finish: () => undefined,
  };
}

/** The library carries its programs for the usual computers with it; elsewhere they must have been built. */
async function loadSerialPort(): Promise<typeof SerialPort> {
  try {
    return (await import('serialport')).SerialPort;
  } catch (error) {
    const why = error instanceof Error ? itemAt(error.message.split('\n'), 0) : String(error);
    throw new Failure('link', `Serial ports cannot be used on this computer: ${why}`, {
      hint: 'Run `npm rebuild` in the folder where Leanward is installed; it needs a C++ compiler there.',
      reason: 'no serial library',
    });
  }
}

/** The serial ports of this computer, USB ports first. */
export async function listPorts(): Promise<readonly ListedPort[]> {
  const listed = process.platform === 'linux' && !hasUdevadm() ? fromDev() : await fromSystem();
  return [...listed].sort((a, b) => Number(b.likely) - Number(a.likely) || a.path.localeCompare(b.path));
}

async function fromSystem(): Promise<ListedPort[]> {
  const { list } = await loadSerialPort();
  const ports = await list();
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

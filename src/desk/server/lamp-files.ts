/**
 * The lamps' files (photometric, spectra) that pages asked for, and which of
 * them are others meanwhile.
 *
 * Always holds: a file is told of once for each change, also when it comes or goes.
 */

import { watch } from 'node:fs';
import { dirname, join, sep } from 'node:path';
import { readLampFile } from '../../files/lamp-files.ts';

export class LampFiles {
  private readonly folder: string;
  /** What was handed out last, by name. */
  private readonly seen = new Map<string, string | undefined>();
  private readonly watching = new Map<string, { close(): void }>();

  constructor(folder: string) {
    this.folder = folder;
  }

  /** The text of a file, a character a byte; undefined where there is none. `stir` is called when something changes in its folder. */
  read(name: string, stir: () => void): string | undefined {
    const text = readLampFile(this.folder, name);
    this.seen.set(name, text);
    this.watch(dirname(join(this.folder, name)), stir);
    return text;
  }

  /** The names of those that are others than were handed out last. */
  changed(): string[] {
    return [...this.seen.keys()].filter((name) => {
      const text = readLampFile(this.folder, name);
      const isOther = text !== this.seen.get(name);
      if (isOther) this.seen.set(name, text);
      return isOther;
    });
  }

  close(): void {
    for (const one of this.watching.values()) one.close();
  }

  /** Folders within the plans' own, which is watched already. */
  private watch(inner: string, stir: () => void): void {
    if (!inner.startsWith(join(this.folder, sep)) || this.watching.has(inner)) return;
    try {
      this.watching.set(
        inner,
        watch(inner, stir).on('error', () => undefined),
      );
    } catch {
      // No such folder yet: its making stirs the one above.
    }
  }
}

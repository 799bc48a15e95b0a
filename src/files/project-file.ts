/**
 * Files that come with Leanward itself, found from the sources and from the
 * bundle alike.
 */

import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The text of a file of the project, such as `boards/mega328-relay8/firmware.hex`. Throws when it is not there. */
export function projectText(path: string): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) throw new Error('Leanward is not where its files are');
    folder = above;
  }
  return readFileSync(join(folder, path), 'utf8');
}

/**
 * Virtual controllers' files that are damaged: bytes changed, cut short,
 * values swapped.
 *
 * What must hold: such a file is refused in a sentence, or makes the very
 * controller that was saved; and that one runs on.
 */

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { utcSeconds } from '../../shared/units.ts';
import { Failure } from '../../src/failure.ts';
import { boardById } from '../../src/files/boards.ts';
import { readVirtualFile, writeVirtualFile } from '../../src/virtual/file.ts';
import { restoreDevice } from '../../src/virtual/makers.ts';
import { DAILY, flash, pass, startedDevice } from '../firmware-sim/controller/host.ts';
import { type Campaign, hold, pick } from './campaign.ts';

const board = sure(boardById('mega328-relay8'));
let folder = '';
let sound = '';
let kept = '';

function damage(text: string, chance: Chance): string {
  const at = draw(chance, text.length);
  switch (draw(chance, 4)) {
    case 0:
      return text.slice(0, at);
    case 1:
      return text.slice(0, at) + String.fromCharCode(32 + draw(chance, 95)) + text.slice(at + 1);
    case 2: {
      // A value for another: what remains is as good JSON as before.
      const values = [...text.matchAll(/(?<=:)(\d+|"[^"]*"|true|false|null)(?=[,}])/g)];
      const one = pick(chance, values);
      const by = pick(chance, ['-1', '1e99', 'null', '"x"', '{}', '[]', '4294967296', '0.5']);
      return text.slice(0, one.index) + by + text.slice(one.index + one[0].length);
    }
    default:
      return text.slice(0, at) + text.slice(at + 1 + draw(chance, 40));
  }
}

export const virtualFiles: Campaign = {
  name: 'virtual-files',
  about: 'damaged files of virtual controllers: refused in a sentence, or the very controller',
  unit: 'files',
  share: 1,
  slice: 100,
  async prepare() {
    folder = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
    const place = join(folder, 'sound.json');
    const device = startedDevice();
    flash(device, DAILY);
    pass(device, 86_400);
    writeVirtualFile(place, { board: board.id, timezone: 'UTC', image: device.save(), coming: [] });
    sound = readFileSync(place, 'utf8');
    kept = JSON.stringify(device.save());
    return async () => rmSync(folder, { recursive: true, force: true });
  },
  async run(chance) {
    const place = join(folder, 'damaged.json');
    writeFileSync(place, damage(sound, chance));
    try {
      const file = readVirtualFile(place);
      const device = await restoreDevice(sure(file).image, board, utcSeconds(0), place);
      hold(JSON.stringify(device.save()) === kept, 'another controller than the one saved');
      pass(device, 3 * 86_400);
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
    }
    return 1;
  },
};

/** How many requests a board answers while it lives and dims, on the emulated chip. */

import { itemAt, sure } from '../../../../shared/assert.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS } from '../../../support/boards.ts';
import { ask, DAILY, START } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const STATUS = [4, 0, 0, 0, 42];

/** All outputs at five sixteenths from 08:00 to 20:00. */
function dimmed(id: string): Uint8Array {
  const outputs = (1 << sure(BOARDS[id]).outputs.length) - 1;
  return encodeTable({
    ...DAILY,
    patterns: [{ start: 480, continuous: false, segments: [{ length: 720, level: 5 }] }],
    bindings: [{ ...itemAt(DAILY.bindings, 0), outputs }],
  }).bytes;
}

/** How many of `requests` status reads, `apart` seconds from one to the next and the first at `hour`, are answered. */
export function answered(id: string, requests: number, apart: number, hour = 7): number {
  const device = chip({ id, utc: utcSeconds(START + hour * 3_600), table: dimmed(id) });
  device.run(12 * SECOND);
  let answers = 0;
  for (let request = 0; request < requests; request++) {
    device.run(device.micros + apart * SECOND);
    if (ask(device, STATUS)?.length === 2 + 2 * 42) answers++;
  }
  return answers;
}

/**
 * A program that does what reading a controller's log does to the archive, and
 * may be killed at any moment: appends records in blocks of 15 from the newest
 * one it finds on, up to a number, saying each block when it is in.
 *
 * Arguments: archive, identity, last sequence number.
 */

import { sure } from '../../../shared/assert.ts';
import { appendRecords, newestSequence } from '../../../src/archive/append.ts';
import { openArchive } from '../../../src/archive/open.ts';
import { raw } from './records.ts';

const [place, identity, last] = process.argv.slice(2);
const archive = await openArchive(sure(place), 0);
for (let next = (await newestSequence(archive, Number(identity))) + 1; next <= Number(last); next += 15) {
  const block = raw(next, Math.min(next + 14, Number(last)));
  await appendRecords(archive, Number(identity), block, 0);
  process.stdout.write(`${next + block.length - 1}\n`);
}
await archive.close();

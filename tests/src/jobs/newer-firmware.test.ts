/** Which of two revisions of the firmware is the older one. */

import { expect, it } from 'vitest';
import { isOlder } from '../../../src/jobs/flash/newer-firmware.ts';

it.each([
  ['1.0', '1.1', true],
  ['1.9', '1.10', true],
  ['1.10', '1.9', false],
  ['1.1', '1.1', false],
  ['2.0', '1.1', false],
  ['', '1.1', true],
])('%s before %s: %s', (seen, ours, older) => expect(isOlder(seen, ours)).toBe(older));

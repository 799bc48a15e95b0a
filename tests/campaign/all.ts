/** The campaigns there are, in the order in which they run. */

import { archives } from './archives.ts';
import type { Campaign } from './campaign.ts';
import { chipFrames, frames } from './frames.ts';
import { fuzzLink, fuzzLog, fuzzTable } from './fuzz.ts';
import { grows } from './grows.ts';
import { kills } from './kills.ts';
import { lines } from './lines.ts';
import { lives } from './lives.ts';
import { photometry } from './photometry.ts';
import { plans } from './plans.ts';
import { ptyLines } from './pty-lines.ts';
import { chipTorn, torn } from './torn.ts';
import { virtualFiles } from './virtual-files.ts';

export const CAMPAIGNS: readonly Campaign[] = [
  plans,
  photometry,
  archives,
  virtualFiles,
  kills,
  lives,
  lines,
  ptyLines,
  frames,
  chipFrames,
  torn,
  chipTorn,
  grows,
  fuzzTable,
  fuzzLink,
  fuzzLog,
];

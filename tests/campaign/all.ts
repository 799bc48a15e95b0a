/** The campaigns there are, in the order in which they run. */

import { archives } from './archives.ts';
import type { Campaign } from './campaign.ts';
import { chipFrames, frames } from './frames.ts';
import { grows } from './grows.ts';
import { lines } from './lines.ts';
import { plans } from './plans.ts';
import { chipTorn, torn } from './torn.ts';
import { virtualFiles } from './virtual-files.ts';

export const CAMPAIGNS: readonly Campaign[] = [
  plans,
  archives,
  virtualFiles,
  lines,
  frames,
  chipFrames,
  torn,
  chipTorn,
  grows,
];

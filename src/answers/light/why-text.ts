/**
 * What each lamp of a zone does in a stage, in words.
 *
 * Always holds: every lamp of the zone is named once a stage; nothing is said of hours
 * in which a zone is to be dark.
 */

import type { StageReport } from '../../../compiler/advice/light-report.ts';
import type { LampDeed, WhyOff } from '../../../compiler/advice/why.ts';
import { sideWord } from '../../words/sides.ts';

/** One line a stage: `climb, left: A-left on 12 h; A-right off: it shines 180° beside the left.` */
export function lampLines(stages: readonly StageReport[]): string[] {
  return stages.flatMap(({ stage, asks, lamps, unproven }) => {
    if (asks === 'dark' || lamps.length === 0) return [];
    const side = typeof asks === 'number' ? sideWord(asks) : asks;
    const open = unproven
      ? ` The best levels found: that none do better was not settled (${unproven.want}: at most ${unproven.by} steps).`
      : '';
    return [`${stage}, ${side}: ${lamps.map((lamp) => deedWords(lamp, side)).join('; ')}.${open}`];
  });
}

function deedWords({ lamps, hours, share, off }: LampDeed, side: string): string {
  const names = lamps.join(', ');
  if (off?.why === 'reaches nothing') return `${names}: nothing of it reaches the bags`;
  if (off !== undefined) return `${names} off: ${offWords(off, side)}`;
  const level = share < 1 ? ` at ${Math.round(share * 100)} %` : '';
  return hours < 1
    ? `${names} on for ${Math.round(hours * 60)} min${level} (nothing longer meets all)`
    : `${names} on ${Number(hours.toFixed(2))} h${level}`;
}

function offWords(off: Exclude<WhyOff, { readonly why: 'reaches nothing' }>, side: string): string {
  switch (off.why) {
    case 'other side':
      return `it shines ${off.off}° beside the side asked for, ${side}`;
    case 'side':
      return `with it the light would come ${off.off}° beside ${side}`;
    case 'contrast':
      return `with it one side would get ${off.ratio.toFixed(1)} times the other`;
    case 'level':
      return `with it bags would get ${Math.round(off.low)} to ${Math.round(off.high)} lx`;
    case 'not needed':
      return 'not needed';
  }
}

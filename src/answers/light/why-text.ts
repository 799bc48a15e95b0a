/**
 * What each lamp of a zone does in a stage, in words.
 *
 * Always holds: every lamp of the zone is named once a lit stage; of a dark stage it is
 * said that they are off, or which burn for another zone.
 */

import type { MayMiss } from '../../../compiler/advice/bands.ts';
import type { StageReport } from '../../../compiler/advice/stage-report.ts';
import type { LampDeed, WhyOff } from '../../../compiler/advice/why.ts';
import { ANGLE_MOST } from '../../../compiler/solve/score.ts';
import { BALANCE_RATIO } from '../../../compiler/steer/pull.ts';
import { sideWord } from '../../words/sides.ts';

/** One line a stage: `climb, left: A-left on 12 h a day; A-right off: it shines from the opposite side (180° off).` */
export function lampLines(stages: readonly StageReport[], dark: readonly string[]): string[] {
  return [...dark.map((name) => darkLine(name, stages)), ...litLines(stages)];
}

function darkLine(name: string, stages: readonly StageReport[]): string {
  const lamps = stages
    .filter(({ stage, asks }) => stage === name && asks === 'dark')
    .flatMap((one) => one.lamps);
  const burning = lamps.map((lamp) => `${deedWords(lamp, 'dark')} for another zone`);
  return `${name}, dark: ${burning.length === 0 ? 'its lamps are off' : burning.join('; ')}.`;
}

function litLines(stages: readonly StageReport[]): string[] {
  return stages.flatMap((report) => {
    const { stage, asks, lamps } = report;
    if (asks === 'dark' || lamps.length === 0) return [];
    const side = typeof asks === 'number' ? sideWord(asks) : asks;
    const deeds = `${stage}, ${side}: ${lamps.map((lamp) => deedWords(lamp, side)).join('; ')}.`;
    return [[deeds, ...eyeWords(report), ...nearWords(report), ...openWords(report)].join(' ')];
  });
}

/** Of coloured lamps: what a meter would show beside what bends. */
function eyeWords({ byEye }: StageReport): string[] {
  if (byEye === undefined) return [];
  return [`By the eye ${Math.round(byEye)} lx; the levels here are lux of white light that bends alike.`];
}

/** `May miss: level 260 to 480 lx (the plan asks for 300 to 1000 lx).`: what is met, and lies nearer to a limit than its range. */
function nearWords({ ranges, mayMiss, wanted }: StageReport): string[] {
  if (!ranges || !wanted || mayMiss.length === 0) return [];
  const [low, high] = wanted.level.map(Math.round);
  const words: Readonly<Record<MayMiss, string>> = {
    level: `level ${rangeWords(ranges.level, 0)} lx (the plan asks for ${low} to ${high} lx)`,
    side: `${rangeWords(ranges.off, 1)}° off (${ANGLE_MOST / 100}° allowed)`,
    contrast: `contrast ${rangeWords(ranges.contrast, 1)} : 1 (${wanted.contrast} : 1 wanted)`,
    evenness: `opposite sides ${rangeWords(ranges.balance, 1)} : 1 (${BALANCE_RATIO} : 1 allowed)`,
  };
  return [`May miss: ${mayMiss.map((what) => words[what]).join(', ')}.`];
}

const rangeWords = (range: readonly [number, number] | undefined, digits: number): string =>
  range ? `${range[0].toFixed(digits)} to ${range[1].toFixed(digits)}` : '';

function openWords({ unproven }: StageReport): string[] {
  if (!unproven) return [];
  return [
    `The best levels found: that none do better was not settled (${unproven.want}: at most ${unproven.by} steps).`,
  ];
}

function deedWords({ lamps, leastHours, mostHours, share, off }: LampDeed, side: string): string {
  const names = lamps.join(', ');
  if (off?.why === 'reaches nothing') return `${names}: nothing of it reaches the bags`;
  if (off?.why === 'no pull') return `${names} off: growth does not bend to its colour`;
  if (off !== undefined) return `${names} off: ${offWords(off, side)}`;
  const level = share < 1 ? ` at ${Math.round(share * 100)} %` : '';
  if (mostHours < 1)
    return `${names} on for ${Math.round(mostHours * 60)} min${level} (nothing longer meets all)`;
  const hours = (value: number): number => Number(value.toFixed(2));
  const [low, high] = [hours(leastHours), hours(mostHours)];
  return `${names} on ${low === high ? high : `${low} to ${high}`} h a day${level}`;
}

/** Degrees from the side asked for that a grower calls its opposite: nearer to that than to the sides between. */
const OPPOSITE = 135;

function offWords(
  off: Exclude<WhyOff, { readonly why: 'reaches nothing' | 'no pull' }>,
  side: string,
): string {
  switch (off.why) {
    case 'other side':
      return off.off >= OPPOSITE
        ? `it shines from the opposite side (${off.off}° off)`
        : `it shines ${off.off}° off the ${side}`;
    case 'side':
      return `with it the light would come ${off.off}° off the ${side}`;
    case 'contrast':
      return `with it one side would get ${off.ratio.toFixed(1)} times the other`;
    case 'level':
      return `with it bags would get ${Math.round(off.low)} to ${Math.round(off.high)} lx`;
    case 'too faint':
      return `too faint to count: alone it gives the bags at most ${faintWords(off.most)} lx, and light counts from ${Math.ceil(off.least)} lx on`;
    case 'not needed':
      return 'not needed';
  }
}

/** At most so much, never nothing. */
const faintWords = (lux: number): string =>
  lux >= 1 ? String(Math.floor(lux)) : Math.max(0.1, lux).toFixed(1);

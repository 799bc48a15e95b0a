/**
 * Words for what the light cannot meet, with figures, cause and remedy.
 */

import { sideInPlan, sideNamed } from '../../plan/sides.ts';
import type { Fact } from '../finding.ts';
import { count, type Facts, list, number, some, text, type Words } from './message.ts';

/** `to the left`, `toward 45 deg`. */
const toward = (azimuth: number): string =>
  sideNamed(azimuth) === undefined ? `toward ${sideInPlan(azimuth)}` : `to the ${sideNamed(azimuth)}`;

/** Who and when: the start of every sentence here. */
const where = ({ zone, stage, days }: Facts): string =>
  `Zone \`${text(zone)}\`, stage \`${text(stage)}\`, ${count(number(days), 'day')}`;

/** `300 to 500 lx`, or `300 lx` when both are the same. */
const between = (low: Fact, high: Fact): string =>
  number(low) === number(high) ? `${number(low)} lx` : `${number(low)} to ${number(high)} lx`;

/** What several lamps do, for what one does. */
const SEVERAL: Readonly<Record<string, string>> = {
  'shines through': 'shine through',
  'outweighs the rest': 'outweigh the rest',
  'shines in': 'shine in',
};

/** The lamps of one output, written with commas between: `lamp A`, `lamps A and B`. */
function lamps(names: Fact): string {
  const each = text(names).split(', ');
  return each.length === 1 ? `lamp \`${text(names)}\`` : `lamps ${some(each)}`;
}

/** The culprit, as the end of a sentence. */
function because({ cause, by, of }: Facts, does: string): string {
  switch (cause) {
    case 'neighbour':
      return `, because ${lamps(by)}${of === undefined ? '' : ` of zone \`${text(of)}\``} ${lamps(by).startsWith('lamps') ? SEVERAL[does] : does}`;
    case 'background':
      return `, because of the background light \`${text(by)}\``;
    case 'own':
      return `; most of it comes from the zone's own ${lamps(by)}`;
    default:
      return '';
  }
}

/** What was tried and helped, as a noun phrase; undefined when nothing did. */
function remedy(facts: Facts): string | undefined {
  const parts: string[] = [];
  if (facts.screenAxis !== undefined) {
    parts.push(
      `a screen on shelf \`${text(facts.screenShelf)}\` at ${text(facts.screenAxis)} = ${number(facts.screenAt)} mm`,
    );
  }
  if (facts.coverShelf !== undefined) parts.push(`a solid board on shelf \`${text(facts.coverShelf)}\``);
  if (facts.longerLamps !== undefined) {
    parts.push(`strips of ${number(facts.longerTo)} mm in place of ${some(list(facts.longerLamps))}`);
  }
  if (facts.emptyEnds === true) parts.push('leaving the places at both ends of the row empty');
  if (facts.fluxLamps !== undefined) {
    parts.push(`${number(facts.fluxPercent)} % of the present flux in ${some(list(facts.fluxLamps))}`);
  }
  return parts.length === 0 ? undefined : parts.join(' together with ');
}

/** The remedy with the figure it gave when tried; what did not help, if that is all; undefined when nothing could be tried. */
function tried(facts: Facts, after: string): string | undefined {
  const what = remedy(facts);
  if (what === undefined) {
    const names = list(facts.tried).map((kind) => TRIED[kind] ?? kind);
    return names.length === 0 ? undefined : `Tried without help: ${names.join(', ')}.`;
  }
  const capital = what.charAt(0).toUpperCase() + what.slice(1);
  return facts.cleared === true
    ? `${capital} gives ${after}.`
    : `${capital} helps but is not enough: ${after}.`;
}

const TRIED: Readonly<Record<string, string>> = {
  screen: 'a screen',
  cover: 'a solid board',
  longer: 'longer strips',
  ends: 'empty places at the ends of the row',
  flux: 'another flux',
};

/** How far the light is off the side asked for. */
function aside(degrees: number): string {
  return degrees >= 165 ? `from the opposite side (${degrees}° off)` : `${degrees}° off that side`;
}

export const lightWords = {
  'light-lean': (facts) => {
    const { bag, side: azimuth, off, offAllowed, contrast, contrastWanted } = facts;
    return {
      title: 'lean not met',
      message: `${where(facts)}: bag ${text(bag)} should lean ${toward(number(azimuth))}, but its light comes ${aside(number(off))} (${number(offAllowed)}° allowed), with contrast ${number(contrast)} : 1 (${number(contrastWanted)} : 1 wanted)${because(facts, 'shines through')}.`,
      suggestion: tried(facts, `${number(facts.offAfter)}° and ${number(facts.contrastAfter)} : 1`),
    };
  },
  'light-uneven': (facts) => ({
    title: 'not lit evenly enough to grow upright',
    message: `${where(facts)}: on bag ${text(facts.bag)} one side gets ${number(facts.ratio)} times what the opposite side gets (${number(facts.ratioAllowed)} allowed)${because(facts, 'outweighs the rest')}.`,
    suggestion: tried(facts, `${number(facts.ratioAfter)} : 1`),
  }),
  'light-level': (facts) => ({
    title: 'level outside its band',
    message: `${where(facts)}: bags get ${between(facts.level, facts.brightest)}; the plan asks for ${number(facts.low)} to ${number(facts.high)} lx.`,
    suggestion: tried(facts, between(facts.levelAfter, facts.brightestAfter)),
  }),
  'light-in-dark': (facts) => {
    const zones = list(facts.zones);
    const who =
      zones.length > 0
        ? `In the dark hours of ${count(zones.length, 'zone')} (${some(zones)}) bags get up to`
        : `${where(facts)}: in the dark bag ${text(facts.bag)} gets`;
    const from = because(facts, 'shines in');
    return {
      title: 'light in the dark',
      message: `${who} ${number(facts.leak)} lx (${number(facts.allowed)} lx is taken as dark)${from}.`,
      suggestion:
        facts.cause === 'background'
          ? 'Shade the rack at those hours, or let the photoperiod cover them.'
          : tried(facts, `${number(facts.leakAfter)} lx`),
    };
  },
  'light-unlit': (facts) => ({
    title: 'not lit when it should be',
    message: `${where(facts)}: bag ${text(facts.bag)} gets ${number(facts.level)} lx for part or all of its photoperiod; below a quarter of ${number(facts.low)} lx it counts as unlit.`,
    suggestion: tried(facts, between(facts.levelAfter, facts.brightestAfter)),
  }),
  'light-overhead': (facts) => ({
    title: number(facts.elevation) < 0 ? 'lit from below' : 'lit mostly from overhead',
    message:
      number(facts.elevation) < 0
        ? `${where(facts)}: the light comes from ${-number(facts.elevation)}° below the level, which draws growth down.`
        : `${where(facts)}: the light comes from ${number(facts.elevation)}° above the level, so that no side draws much.`,
    suggestion: 'Put the lamps at the height of the middle of the headspace.',
  }),
  'bag-low-headspace': ({ bag, height, percent }) => ({
    title: 'little room to grow',
    message: `Bag \`${text(bag)}\` has ${number(height)} mm above its block, ${number(percent)} % of its height; a third or more is usual.`,
    suggestion: 'Fill it less, or use a taller bag.',
  }),
  'light-film': ({ bag, scatters, possible, wanted }) => ({
    title: 'the film forbids 5 : 1',
    message: `The film of bag \`${text(bag)}\` scatters ${number(scatters)} of what it passes: no lamp can give more than ${number(possible)} : 1 behind it. Contrast is measured against ${number(wanted)} : 1, four fifths of that.`,
  }),
  'photometry-missing': ({ file }) => ({
    title: 'photometric file missing',
    message: `There is no plain file \`${text(file)}\`, of at most 4 MB, beside the plan or in a folder there.`,
    suggestion: 'Put it there, or take `photometry` out: the lamp then shines as drawn.',
  }),
  'photometry-unreadable': ({ file, line, fault }) => ({
    title: 'photometric file not understood',
    message: `\`${text(file)}\`, line ${number(line)}: ${FAULTS[text(fault)] ?? text(fault)}.`,
    suggestion: 'Ask the maker for an LM-63 file of type C, or take `photometry` out.',
  }),
} satisfies Readonly<Record<string, Words>>;

const FAULTS: Readonly<Record<string, string>> = {
  'not-lm63': 'the first line does not name the LM-63 standard',
  tilt: 'only files with `TILT=NONE` are read',
  'cut-short': 'the file ends before all its numbers are given',
  'not-a-number': 'a number is due here',
  count: 'the number of angles must be a whole number from 1 to 721',
  type: 'only type C photometry (1) is read',
  'vertical-angles': 'vertical angles must rise from 0 to 90 or 180',
  'horizontal-angles': 'horizontal angles must rise from 0 to 0, 90, 180 or 360',
  candela: 'an intensity is below zero',
  'too-much': 'there are more numbers than the file announces',
  'no-light': 'all intensities are zero',
};

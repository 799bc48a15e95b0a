/**
 * Words for what the light cannot meet, with figures, cause and remedy.
 */

import { sizeWords, type Units } from '../../../shared/measures.ts';
import { SEEN } from '../../light/blue.ts';
import { POINTS_LEAST, WHOLE } from '../../light/spectrum.ts';
import { sideInPlan, sideNamed } from '../../plan/sides.ts';
import type { FactsOf, LightFacts, RemedyKind } from '../facts.ts';
import { type AllWords, count, some } from './message.ts';

/** `to the left`, `toward 45 deg`. */
const toward = (azimuth: number): string =>
  sideNamed(azimuth) === undefined ? `toward ${sideInPlan(azimuth)}` : `to the ${sideNamed(azimuth)}`;

/** Who and when: the start of every sentence here. */
const where = ({ zone, stage, days }: LightFacts): string =>
  `Zone \`${zone}\`, stage \`${stage}\`, ${count(days, 'day')}`;

/** `300 to 500 lx`, or `300 lx` when both are the same. */
const between = (low: number | undefined, high: number | undefined): string =>
  low === high ? `${low} lx` : `${low} to ${high} lx`;

/** What several lamps do, for what one does. */
const SEVERAL: Readonly<Record<string, string>> = {
  'shines through': 'shine through',
  'outweighs the rest': 'outweigh the rest',
  'shines in': 'shine in',
};

/** The lamps of one output: `lamp A`, `lamps A and B`. */
const lamps = (names: readonly string[]): string =>
  names.length === 1 ? `lamp \`${names[0]}\`` : `lamps ${some(names)}`;

/** The culprit, as the end of a sentence. */
function because({ cause, by = [], of }: LightFacts, does: string): string {
  switch (cause) {
    case 'neighbour':
      return `, because ${lamps(by)}${of === undefined ? '' : ` of zone \`${of}\``} ${by.length > 1 ? SEVERAL[does] : does}`;
    case 'background':
      return `, because of the background light \`${by.join(', ')}\``;
    case 'own':
      return `; most of it comes from the zone's own ${lamps(by)}`;
    default:
      return '';
  }
}

/** What was tried and helped, as a noun phrase; undefined when nothing did. */
function remedy(facts: LightFacts, units: Units): string | undefined {
  const parts: string[] = [];
  if (facts.screenAxis !== undefined) {
    parts.push(
      `a screen on shelf \`${facts.screenShelf}\` at ${facts.screenAxis} = ${sizeWords(facts.screenAt ?? 0, units)}`,
    );
  }
  if (facts.coverShelf !== undefined) parts.push(`a solid board on shelf \`${facts.coverShelf}\``);
  if (facts.longerLamps !== undefined) {
    parts.push(longer(facts.longerLamps, facts.longerTo ?? [], units));
  }
  if (facts.emptyEnds === true) parts.push('leaving the places at both ends of the row empty');
  if (facts.fluxLamps !== undefined) {
    parts.push(`${facts.fluxPercent} % of the present flux in ${some(facts.fluxLamps)}`);
  }
  return parts.length === 0 ? undefined : parts.join(' together with ');
}

/** `strips of 874 mm in place of A and B, of 316 mm in place of C`. */
function longer(lamps: readonly string[], lengths: readonly number[], units: Units): string {
  const each = [...new Set(lengths)].map(
    (length) =>
      `of ${sizeWords(length, units)} in place of ${some(lamps.filter((_, n) => lengths[n] === length))}`,
  );
  return `strips ${each.join(', ')}`;
}

/** The remedy with the figure it gave when tried; what did not help, if that is all; undefined when nothing could be tried. */
function tried(facts: LightFacts, after: string, units: Units): string | undefined {
  const what = remedy(facts, units);
  if (what === undefined) {
    const names = (facts.tried ?? []).map((kind) => TRIED[kind]);
    return names.length === 0 ? undefined : `Tried without help: ${names.join(', ')}.`;
  }
  const capital = what.charAt(0).toUpperCase() + what.slice(1);
  return facts.cleared === true
    ? `${capital} gives ${after}.`
    : `${capital} helps but is not enough: ${after}.`;
}

const TRIED: Readonly<Record<RemedyKind, string>> = {
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

/** Which bags are out of reach, and why they count as that. */
function unreached({ missed, bags, missedLevel, low, side, astray }: FactsOf['light-unlit']): string {
  const quarter = `below a quarter of ${low} lx a bag counts as unlit`;
  if (missed.length === 0) return `the bags are lit for part of the photoperiod only (${quarter})`;
  const none = missed.length === bags;
  const which = none ? 'no bag' : `all bags but ${some(missed)}`;
  const toward = side === undefined ? '' : ` from the ${sideNamed(side) ?? `side at ${sideInPlan(side)}`}`;
  const level = `at most ${missedLevel} lx`;
  if (astray && side === undefined) {
    const whom = none ? '' : ` on ${which}`;
    return `no lamp adds to the light that comes anyway${whom} (${level}; the plan asks for ${low} lx or more)`;
  }
  return astray
    ? `the lamps reach ${which}${toward}; other light (${level}) comes from more than 45° off that side`
    : `the lamps reach ${which}${toward} (${level}${none ? '' : ' there'}; ${quarter})`;
}

export const lightWords = {
  'light-lean': (facts, units) => {
    const { bag, side: azimuth, off, offAllowed, contrast, contrastWanted } = facts;
    return {
      title: 'lean not met',
      message: `${where(facts)}: bag ${bag} should lean ${toward(azimuth)}, but its light comes ${aside(off)} (${offAllowed}° allowed), with contrast ${contrast} : 1 (${contrastWanted} : 1 wanted)${because(facts, 'shines through')}.`,
      suggestion: tried(facts, `${facts.offAfter}° and ${facts.contrastAfter} : 1`, units),
    };
  },
  'light-uneven': (facts, units) => ({
    title: 'not lit evenly enough to grow upright',
    message: `${where(facts)}: on bag ${facts.bag} one side gets ${facts.ratio} times what the opposite side gets (${facts.ratioAllowed} allowed)${because(facts, 'outweighs the rest')}.`,
    suggestion: tried(facts, `${facts.ratioAfter} : 1`, units),
  }),
  'light-level': (facts, units) => ({
    title: 'level outside its band',
    message: `${where(facts)}: bags get ${between(facts.level, facts.brightest)}${facts.byEye === undefined ? '' : `, as white light bends (${facts.byEye} lx by the eye)`}; the plan asks for ${facts.low} to ${facts.high} lx.`,
    suggestion: tried(facts, between(facts.levelAfter, facts.brightestAfter), units),
  }),
  'light-in-dark': (facts, units) => {
    const { zones = [] } = facts;
    const who =
      zones.length > 0
        ? `In the dark hours of ${count(zones.length, 'zone')} (${some(zones)}) bags get up to`
        : `${where(facts)}: in the dark bag ${facts.bag} gets`;
    const from = because(facts, 'shines in');
    return {
      title: 'light in the dark',
      message: `${who} ${facts.leak} lx (${facts.allowed} lx is taken as dark)${from}.`,
      suggestion:
        facts.cause === 'background'
          ? 'Shade the rack at those hours, or let the photoperiod cover them.'
          : tried(facts, `${facts.leakAfter} lx`, units),
    };
  },
  'light-unlit': (facts, units) => ({
    title: 'not lit when it should be',
    message: `${where(facts)}: ${unreached(facts)}.`,
    suggestion: tried(facts, between(facts.levelAfter, facts.brightestAfter), units),
  }),
  'light-overhead': (facts) => ({
    title: facts.elevation < 0 ? 'lit from below' : 'lit mostly from overhead',
    message:
      facts.elevation < 0
        ? `${where(facts)}: the light comes from ${-facts.elevation}° below the level, which draws growth down.`
        : `${where(facts)}: the light comes from ${facts.elevation}° above the level, so that no side draws much.`,
    suggestion: 'Put the lamps at the height of the middle of the headspace.',
  }),
  'light-no-pull': ({ lamps: names, zones, lux, full, none }) => ({
    title: 'light that pulls nowhere',
    message: `Growth bends to blue: it is taken to answer wholly to light up to ${full} nm and not at all from ${none} nm on (from other fungi; little evidence). So ${lamps(names)} ${names.length === 1 ? 'gives' : 'give'} ${zones.length === 1 ? 'zone' : 'zones'} ${some(zones)} up to ${lux} lx and no pull, and counts as dark there.`,
    suggestion: 'Use a white or a blue lamp for a lean.',
  }),
  'light-lamp-idle': ({ lamps: names, zones, along, others }) => {
    const why = along
      ? 'a strip shines square to its length, and the facing runs along it'
      : 'a screen, a board or a bag stands in the way or in its plane, or it shines past them';
    const until = others ? 'it burns for nothing with the others of its output' : 'it stays off';
    return {
      title: 'lamp that lights nothing',
      message: `Nothing of ${lamps(names)} reaches the bags of ${zones.length === 1 ? 'zone' : 'zones'} ${some(zones)}: ${why}.`,
      suggestion: along
        ? `Write a facing square to the strip, toward the bags; until then ${until}.`
        : `Move it clear of the screen, or turn its facing; until then ${until}.`,
    };
  },
  'light-by-height': ({ zone, stage, low, lowest, middle, top, elevation }) => ({
    title: 'the light differs with height',
    message: `Zone \`${zone}\`, stage \`${stage}\`: the lowest fifth of the headspace, where growth starts, gets ${lowest} lx, the middle ${middle} lx, the top ${top} lx${lowest < low ? ` (the plan asks for ${low} lx)` : ''}${elevation < 0 ? `; at the top the light comes from ${-elevation}° below` : ''}.`,
    suggestion: 'Lamps farther off, or a second row at another height, even it out.',
  }),
  'light-cap-range': ({ zone, stage, level, hours }) => ({
    title: 'light as for caps',
    message: `Zone \`${zone}\`, stage \`${stage}\`: every bag gets ${level} lx or more, ${hours} h a day. The one published schedule we know has antlers at 200 to 500 lx for 4 to 8 h, and caps at 500 to 1500 lx for 12 h (little evidence).`,
    suggestion:
      'In whole, sealed bags the gas they breathe out keeps antlers from opening (common practice), so nothing needs to be done while antlers come. If caps open, look for a leak first; then dim the lamps, move them farther off or shorten the photoperiod.',
  }),
  'bag-low-headspace': ({ bag, height, percent }, units) => ({
    title: 'little room to grow',
    message: `Bag \`${bag}\` has ${sizeWords(height, units)} above its block, ${percent} % of its height; a third or more is usual.`,
    suggestion: 'Fill it less, or use a taller bag.',
  }),
  'light-film': ({ bag, passes, scatters, possible, wanted }) => ({
    title: 'the film forbids 5 : 1',
    message: `The film of bag \`${bag}\` passes ${passes} of the light, scatters ${scatters} of that and throws part of the rest back inside: no lamp can give more than ${possible} : 1 behind it. Contrast is measured against ${wanted} : 1, four fifths of that.`,
  }),
  'photometry-missing': ({ file }) => ({
    title: 'photometric file missing',
    message: noFile(file),
    suggestion: 'Put it there, or take `photometry` out: the lamp then shines as drawn.',
  }),
  'photometry-unreadable': ({ file, line, fault }) => ({
    title: 'photometric file not understood',
    message: `\`${file}\`, line ${line}: ${FAULTS[fault] ?? fault}.`,
    suggestion: 'Ask the maker for an LM-63 file of type C, or take `photometry` out.',
  }),
  'spectrum-missing': ({ file }) => ({
    title: 'spectrum file missing',
    message: noFile(file),
    suggestion: 'Put it there, or say the `colour` in its place.',
  }),
  'spectrum-unreadable': ({ file, line, fault }) => ({
    title: 'spectrum file not understood',
    message: `\`${file}\`, line ${line}: ${SPECTRUM_FAULTS[fault] ?? fault}.`,
    suggestion:
      'Write a wavelength in nm and the power there line by line, such as `450, 0.82`, or say the `colour` in its place.',
  }),
} satisfies Partial<AllWords>;

const noFile = (file: string): string =>
  `There is no plain file \`${file}\`, of at most 4 MB and ending in \`.ies\`, \`.csv\`, \`.tsv\` or \`.txt\`, beside the plan or in a folder there.`;

const SPECTRUM_FAULTS: Readonly<Record<string, string>> = {
  'not-two-numbers': 'two numbers are due here, a wavelength and a power',
  'not-ascending': 'wavelengths must ascend, each once',
  negative: 'a number is below zero',
  'too-few': `fewer than ${POINTS_LEAST} points are no spectrum`,
  'cut-off': `it begins above ${WHOLE.from} nm, or ends below ${WHOLE.to} nm, where there is still light`,
  'no-light': `there is no light between ${SEEN.from} and ${SEEN.to} nm`,
};

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

/**
 * Words for a value that does not fit its key.
 */

import { inUnits, type Units, unitsSpoken } from '../../../shared/measures.ts';
import { closest } from '../nearest.ts';
import { type AllWords, either, entry, some } from './message.ts';
import { expectedWords, foundWords, limitWords, MUST } from './values.ts';

const keyOf = (key: string | undefined) => (key === undefined || key === '' ? 'Here' : `\`${key}\``);

/** ` (or with `in` or `ft`)`; nothing where there is no other unit. */
function others(units: readonly string[], unit: string, spoken: Units): string {
  const rest = unitsSpoken(units, spoken).filter((one) => one !== unit);
  return rest.length === 0 ? '' : ` (or with ${either(rest)})`;
}

/** What is written in place of no hours of light at all. */
const orDark = (key: string | undefined): string =>
  key === 'photoperiod' ? '; or `light: none`, for a stage that is kept dark' : '';

/** How else the value of a key is written, where a word for it was given that it does not take. */
const OTHER_FORMS: Readonly<Record<string, string>> = {
  // What a package says of a white in words.
  colour:
    'Write a white by its temperature: about `3000 K` for warm, `4000 K` for neutral, `6000 K` for cold.',
  lean: 'One side throughout is written `{ hold: left }`, two in turn `{ sway: [left, right], every: 7 d }`.',
};

export const shapeWords = {
  'key-unknown': ({ key, where, meant, belongs, known }) => ({
    title: 'unknown key',
    message: `${entry(where)} has no key \`${key}\`${where ? '' : ' of its own'}.`,
    suggestion: belongs
      ? `It belongs under \`${belongs}\`: put it below that and move it in by two spaces.`
      : meant
        ? `Did you mean \`${meant}\`?`
        : `It may have ${some(known, 20)}.`,
  }),
  'key-missing': ({ key, where, example }, units) => ({
    title: 'something is missing',
    message: `${entry(where)} needs \`${key}\`.`,
    suggestion: example
      ? `Add \`${key}: ${inUnits(example, units)}\`, with your own value${orDark(key)}.`
      : undefined,
  }),
  'value-kind': ({ key, expects, found, example }, units) => ({
    title: 'the wrong kind of value',
    message: `${keyOf(key)} takes ${expectedWords(expects)}, but here is ${foundWords(found)}.`,
    suggestion:
      found.kind === 'nothing' && example
        ? `Write it like \`${inUnits(example, units)}\`; lines that belong to it are moved in further.`
        : example
          ? `Write it like \`${inUnits(example, units)}\`.`
          : undefined,
  }),
  'unit-missing': ({ key, expects, number, unit, units = [] }, spoken) => ({
    title: 'the unit is missing',
    message: `${keyOf(key)} is ${expectedWords(expects)} and needs its unit: \`${number}\` alone could mean anything.`,
    suggestion: `Write \`${number} ${unit}\`${others(units, unit, spoken)}, if that is what you mean.`,
  }),
  'unit-other': ({ key, expects, unit, found, example }, units) => ({
    title: 'a unit of another kind',
    message: `${keyOf(key)} is ${expectedWords(expects)}, but \`${unit}\` measures ${expectedWords(found)}.`,
    suggestion: `Write it like \`${inUnits(example, units)}\`.`,
  }),
  'value-unreadable': ({ key, text: written, expects, unit, repaired, example, units }, spoken) => {
    if (repaired) {
      return {
        title: 'a comma in a number',
        message: `${keyOf(key)}: numbers are written without commas, and decimals with a point.`,
        suggestion: `Write \`${repaired}\`.`,
      };
    }
    const near = unit === undefined ? undefined : closest(unit, units);
    const does =
      unit === undefined ? `\`${written}\` cannot be read as one` : `\`${unit}\` is no unit known here`;
    return {
      title: 'not a quantity',
      message: `${keyOf(key)} is ${expectedWords(expects)}, but ${does}.`,
      suggestion: near
        ? `Did you mean \`${near}\`?`
        : `Write it like \`${inUnits(example, spoken)}\`; units are ${either(unitsSpoken(units, spoken))}.`,
    };
  },
  'value-out-of-range': ({ key, text: written, limits, example }, units) => ({
    title: 'out of range',
    message: `${keyOf(key)}: \`${written ?? (limits.must ? MUST[limits.must][0] : '')}\` is not possible; it must be ${limitWords(limits, units)}.`,
    suggestion: example ? `Write it like \`${inUnits(example, units)}\`${orDark(key)}.` : undefined,
  }),
  'value-unknown-word': ({ key, text: written, words }) => {
    const near = closest(written, words);
    return {
      title: 'not a word known here',
      message: `${keyOf(key)} takes ${either(words)}, not \`${written}\`.`,
      suggestion: near ? `Did you mean \`${near}\`?` : OTHER_FORMS[key ?? ''],
    };
  },
  'date-impossible': ({ text: written }) => ({
    title: 'no such date',
    message: `\`${written}\` is not in the calendar.`,
    suggestion: 'Check the day and the month: year-month-day.',
  }),
  'date-unreadable': ({ text: written }) => ({
    title: 'not a date',
    message: `\`${written}\` cannot be read as a date.`,
    suggestion: 'Write year-month-day with all digits, such as `2026-02-16`.',
  }),
  'time-unreadable': ({ text: written }) => ({
    title: 'not a time of day',
    message: `\`${written}\` cannot be read as a time of day.`,
    suggestion: 'Write it like `08:00`, `18:30` or `6 pm`.',
  }),
  'key-excludes': ({ entry: where, key, other }) => ({
    title: 'two that exclude each other',
    message: `${entry(where)} has both \`${other}\` and \`${key}\`; only one can count.`,
    suggestion:
      other === 'beside' && key === 'strip'
        ? 'Take one out. Beside a zone a strip is as long as the zone; for another length write `length`.'
        : 'Take one out.',
    second: 'the other one',
  }),
  'output-unreadable': ({ text: written, example }) => ({
    title: 'not an output',
    message: `\`${written}\` cannot be read as an output.`,
    suggestion: `Write the output's number, such as \`${example}\`.`,
  }),
  'name-twice': ({ kind, name }) => ({
    title: 'named twice',
    message: `The ${kind} \`${name}\` is in this list twice.`,
    suggestion: 'Take one out, or give it another name.',
    second: 'first named here',
  }),
  'name-not-allowed': ({ name }) => ({
    title: 'not a name',
    message: name ? `\`${name}\` cannot be a name.` : 'A key is missing in front of this colon.',
    suggestion: 'Use letters and digits, such as `A` or `front-left`.',
  }),
  'place-unknown-timezone': ({ name, meant }) => ({
    title: 'unknown time zone',
    message: `\`${name}\` is no time zone known to this computer.`,
    suggestion: meant
      ? `Did you mean \`${meant}\`?`
      : 'Write the IANA name, such as `Europe/Lisbon` or `America/Chicago`.',
  }),
  'text-later-language': ({ version, known }) => ({
    title: 'a later plan language',
    message: `This plan is written in version ${version} of the plan language; this program reads version ${known}.`,
    suggestion: 'Use a later version of this program.',
  }),
} satisfies Partial<AllWords>;

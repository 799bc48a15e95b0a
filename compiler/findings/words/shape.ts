/**
 * Words for a value that does not fit its key.
 */

import { closest } from '../nearest.ts';
import { either, entry, list, some, text, type Words } from './message.ts';

const keyOf = (key: unknown) => (key === undefined || key === '' ? 'Here' : `\`${String(key)}\``);

export const shapeWords = {
  'key-unknown': ({ key, where, meant, belongs, known }) => ({
    title: 'unknown key',
    message: `${entry(where)} has no key \`${text(key)}\`${where ? '' : ' of its own'}.`,
    suggestion: belongs
      ? `It belongs under \`${text(belongs)}\`: put it below that and move it in by two spaces.`
      : meant
        ? `Did you mean \`${text(meant)}\`?`
        : `It may have ${some(list(known), 20)}.`,
  }),
  'key-missing': ({ key, where, example }) => ({
    title: 'something is missing',
    message: `${entry(where)} needs \`${text(key)}\`.`,
    suggestion: example ? `Add \`${text(key)}: ${text(example)}\`, with your own value.` : undefined,
  }),
  'value-kind': ({ key, expects, found, example }) => ({
    title: 'the wrong kind of value',
    message: `${keyOf(key)} takes ${text(expects)}, but here is ${text(found)}.`,
    suggestion:
      found === 'nothing'
        ? `Write it like \`${text(example)}\`; lines that belong to it are moved in further.`
        : example
          ? `Write it like \`${text(example)}\`.`
          : undefined,
  }),
  'unit-missing': ({ key, expects, number, unit, units }) => ({
    title: 'the unit is missing',
    message: `${keyOf(key)} is ${text(expects)} and needs its unit: \`${text(number)}\` alone could mean anything.`,
    suggestion: `Write \`${text(number)} ${text(unit)}\`${list(units).length > 1 ? ` (or with ${either(list(units).filter((one) => one !== unit))})` : ''}, if that is what you mean.`,
  }),
  'unit-other': ({ key, expects, unit, found, example }) => ({
    title: 'a unit of another kind',
    message: `${keyOf(key)} is ${text(expects)}, but \`${text(unit)}\` measures ${text(found)}.`,
    suggestion: `Write it like \`${text(example)}\`.`,
  }),
  'value-unreadable': ({ key, text: written, expects, unit, repaired, example, units }) => {
    if (repaired) {
      return {
        title: 'a comma in a number',
        message: `${keyOf(key)}: numbers are written without commas, and decimals with a point.`,
        suggestion: `Write \`${text(repaired)}\`.`,
      };
    }
    const near = unit === undefined ? undefined : closest(text(unit), list(units));
    const does =
      unit === undefined
        ? `\`${text(written)}\` cannot be read as one`
        : `\`${text(unit)}\` is no unit known here`;
    return {
      title: 'not a quantity',
      message: `${keyOf(key)} is ${text(expects)}, but ${does}.`,
      suggestion: near
        ? `Did you mean \`${near}\`?`
        : `Write it like \`${text(example)}\`; units are ${either(list(units))}.`,
    };
  },
  'value-out-of-range': ({ key, text: written, limits, example }) => ({
    title: 'out of range',
    message: `${keyOf(key)}: \`${text(written)}\` is not possible; it must be ${text(limits)}.`,
    suggestion: example ? `Write it like \`${text(example)}\`.` : undefined,
  }),
  'value-unknown-word': ({ key, text: written, words }) => {
    const near = closest(text(written), list(words));
    return {
      title: 'not a word known here',
      message: `${keyOf(key)} takes ${either(list(words))}, not \`${text(written)}\`.`,
      suggestion: near ? `Did you mean \`${near}\`?` : undefined,
    };
  },
  'date-impossible': ({ text: written }) => ({
    title: 'no such date',
    message: `\`${text(written)}\` is not in the calendar.`,
    suggestion: 'Check the day and the month: year-month-day.',
  }),
  'date-unreadable': ({ text: written }) => ({
    title: 'not a date',
    message: `\`${text(written)}\` cannot be read as a date.`,
    suggestion: 'Write year-month-day with all digits, such as `2026-02-16`.',
  }),
  'time-unreadable': ({ text: written }) => ({
    title: 'not a time of day',
    message: `\`${text(written)}\` cannot be read as a time of day.`,
    suggestion: 'Write it like `08:00`, `18:30` or `6 pm`.',
  }),
  'key-excludes': ({ entry: where, key, other }) => ({
    title: 'two that exclude each other',
    message: `${entry(where)} has both \`${text(other)}\` and \`${text(key)}\`; only one can count.`,
    suggestion: 'Take one out.',
    second: 'the other one',
  }),
  'output-unreadable': ({ text: written, example }) => ({
    title: 'not an output',
    message: `\`${text(written)}\` cannot be read as an output.`,
    suggestion: `Write the output's number, such as \`${text(example)}\`.`,
  }),
  'name-twice': ({ kind, name }) => ({
    title: 'named twice',
    message: `The ${text(kind)} \`${text(name)}\` is in this list twice.`,
    suggestion: 'Take one out, or give it another name.',
    second: 'first named here',
  }),
  'name-not-allowed': ({ name }) => ({
    title: 'not a name',
    message: name ? `\`${text(name)}\` cannot be a name.` : 'A key is missing in front of this colon.',
    suggestion: 'Use letters and digits, such as `A` or `front-left`.',
  }),
  'place-unknown-timezone': ({ name, meant }) => ({
    title: 'unknown time zone',
    message: `\`${text(name)}\` is no time zone known to this computer.`,
    suggestion: meant
      ? `Did you mean \`${text(meant)}\`?`
      : 'Write the IANA name, such as `Europe/Lisbon` or `America/Chicago`.',
  }),
  'text-later-language': ({ version, known }) => ({
    title: 'a later plan language',
    message: `This plan is written in version ${text(version)} of the plan language; this program reads version ${text(known)}.`,
    suggestion: 'Use a later version of this program.',
  }),
} satisfies Readonly<Record<string, Words>>;

/** Words for what a key takes, what stands there instead, and within which limits. */

import { inUnits, type Units } from '../../../shared/measures.ts';
import type { Expected, Found, LimitFacts } from '../facts.ts';

const EXPECTED: Readonly<Record<Exclude<Expected, `name-of-${string}`>, string>> = {
  length: 'a length',
  mass: 'a mass',
  volume: 'a volume',
  flux: 'a luminous flux',
  fluxPerLength: 'a luminous flux per length',
  efficacy: 'a luminous flux per watt',
  illuminance: 'an illuminance',
  power: 'a power',
  voltage: 'a voltage',
  current: 'a current',
  temperature: 'a temperature',
  wavelength: 'a wavelength',
  colourTemperature: 'a colour temperature',
  time: 'a length of time',
  share: 'a share',
  angle: 'an angle',
  density: 'a density',
  growth: 'a rate of growth',
  bags: 'a number of bags',
  'clock-time': 'a time of day',
  date: 'a date',
  weekday: 'a day of the week',
  days: 'a number of days',
  side: 'a side',
  'one-word': 'one word',
  text: 'some text',
  'yes-no': '`true` or `false`',
  'plain-number': 'a plain number',
  'whole-number': 'a whole number',
  list: 'a list',
  pair: 'a list of two',
  point: 'a point of three lengths',
  group: 'a group of keys',
  'named-entries': 'named entries',
  'something-else': 'something else',
};

const isName = (expects: Expected): expects is `name-of-${string}` => expects.startsWith('name-of-');

/** `a length`, `the name of a zone`. */
export function expectedWords(expects: Expected): string {
  return isName(expects) ? `the name of a ${expects.slice('name-of-'.length)}` : EXPECTED[expects];
}

/** `a list of 3`, or what was written. */
export function foundWords(found: Found): string {
  switch (found.kind) {
    case 'nothing':
      return 'nothing';
    case 'group':
      return 'a group of keys';
    case 'list':
      return found.count === 0 ? 'an empty list' : `a list of ${found.count}`;
    case 'value':
      return `\`${found.written}\``;
  }
}

const WHOLE = { days: 'whole days', minutes: 'whole minutes', number: 'a whole number' } as const;

/** What was written and must be otherwise, where no range says it. */
export const MUST: Readonly<
  Record<NonNullable<LimitFacts['must']>, readonly [written: string, must: string]>
> = {
  'sides-differ': ['the same side again', 'a different side each time'],
  'points-differ': ['both ends at one point', 'two different points'],
  direction: ['[0, 0, 0]', 'a direction'],
};

/** `more than 0 mm, at most 20 m`; `whole days, 1 to 3650`. */
export function limitWords({ whole, must, ...written }: LimitFacts, units: Units): string {
  const [above, least, most] = [written.above, written.least, written.most].map((one) =>
    one === undefined ? undefined : inUnits(one, units, true),
  );
  if (must !== undefined) return MUST[must][1];
  const range =
    above === undefined
      ? `${least} to ${most}`
      : [`more than ${above}`, most !== undefined && `at most ${most}`].filter(Boolean).join(', ');
  return whole === undefined ? range : `${WHOLE[whole]}, ${range}`;
}

import { describe, expect, it } from 'vitest';
import { namesIn } from '../../../src/desk/browser/completion.ts';
import { placeIn } from '../../../src/desk/browser/place.ts';
import { descriptionOf, keysIn, valuesAt } from '../../../src/desk/browser/schema.ts';
import { samplePlan } from '../../support/boards.ts';

/** The cursor is at the bar. */
function placeOf(marked: string) {
  const { path, typing, word } = placeIn(marked.replace('|', ''), marked.indexOf('|'));
  return { path: path.join('.'), typing, word };
}

describe('the place of the cursor', () => {
  it.each([
    ['|', '', 'key', ''],
    ['la|', '', 'key', 'la'],
    ['place:\n  tim|', 'place', 'key', 'tim'],
    ['place:\n  timezone: Eur|', 'place.timezone', 'value', 'Eur'],
    ['place: { timezone: Europe/Lisbon, cir|', 'place', 'key', 'cir'],
    ['lamps:\n  A: { beside: A, side: fr|', 'lamps.A.side', 'value', 'fr'],
    ['lamps:\n  A: { beside: A,\n    si|', 'lamps.A', 'key', 'si'],
    ['lamps:\n  A: { strip: { from: [1 mm, 2|', 'lamps.A.strip.from.1', 'value', '2'],
    ['lamps:\n  A: { strip: { from: [1 mm, 2 mm, 3 mm], t|', 'lamps.A.strip', 'key', 't'],
    ['lamps:\n  A: { x: 1 }\n  B: { |', 'lamps.B', 'key', ''],
    ['regimes:\n  antler:\n    - { stage: a, days: 3 }\n    - { st|', 'regimes.antler.1', 'key', 'st'],
    ['regimes:\n  antler:\n    - stage: climb\n      le|', 'regimes.antler.0', 'key', 'le'],
    [
      'regimes:\n  antler:\n    - stage: climb\n      days: 3\n    - stage: rip|',
      'regimes.antler.1.stage',
      'value',
      'rip',
    ],
    ['regimes:\n  antler:\n  - stage: climb\n    days: 3\n  - st|', 'regimes.antler.1', 'key', 'st'],
    ['zones:\n  A: { bags: [1, 2] } # see { this\nla|', '', 'key', 'la'],
    ['visits:\n  look: { every: 7 d }\n\n  ha|', 'visits', 'key', 'ha'],
    ['title: "a: { b"\npl|', '', 'key', 'pl'],
  ])('%j', (marked, path, typing, word) => {
    expect(placeOf(marked)).toEqual({ path, typing, word });
  });

  it('ends on the key that a finished plan has there, for every key of the samples', () => {
    for (const name of ['pantry', 'wire-rack', 'smallest']) {
      const text = samplePlan(name);
      for (const match of text.matchAll(/(?<=[\s{])([\w-]+):(?=\s)/g)) {
        if (/#/.test(text.slice(text.lastIndexOf('\n', match.index) + 1, match.index))) continue;
        const place = placeIn(text, match.index);
        expect(place.typing, `${name}: ${match[0]} at ${match.index}`).toBe('key');
        const known = keysIn(place.path).map(({ key }) => key);
        const isNamed = place.path.length === 1 || place.path.at(-1) === 'began';
        if (!isNamed) expect(known, `${name}: ${place.path.join('.')}`).toContain(match[1]);
      }
    }
  });
});

describe('what the schema says', () => {
  it('knows words, keys and what they are for', () => {
    expect(valuesAt(['lamps', 'A', 'side'])).toEqual(['left', 'right', 'front', 'back', 'above']);
    expect(keysIn(['batches', 'one']).map(({ key }) => key)).toContain('sealed');
    expect(descriptionOf(['lamps', 'A', 'gap'])).toMatch(/Distance from the zone/);
    expect(descriptionOf(['lamps', 'A', 'gasp'])).toBeUndefined();
  });

  it('finds the names of a section, in lines or in braces', () => {
    expect(namesIn(samplePlan('pantry'), 'zones')).toEqual(['A', 'B', 'C', 'D']);
    expect(namesIn(samplePlan('pantry'), 'screens')).toEqual(['upper-mid', 'lower-mid']);
    expect(namesIn('zones: { A: { bags: [1, 1] }, B: { bags: [1, 1] } }', 'zones')).toContain('B');
  });
});

/** What somebody writes who has only seen the starter, and what is said to it. */

import { expect, test } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { sample } from '../../support/read-plan.ts';

const SMALLEST = sample('smallest');

/** Code, message and suggestion of everything that is found. */
function heard(text: string): string[] {
  const { findings } = compilePlan(text, { boards, advise: false });
  return findings.map((finding) => {
    const { message, suggestion = '' } = wordsOf(finding, 'us');
    return `${finding.code}: ${message} ${suggestion}`;
  });
}

test('a strip beside a zone is told how its length is written, and not that its zone has no lamps', () => {
  const said = heard(SMALLEST.replaceAll('flux: 350 lm', 'strip: 34 in, flux: 350 lm'));
  expect(said.filter((one) => one.startsWith('key-excludes'))).toHaveLength(2);
  expect(said[0]).toContain('for another length write `length`');
  expect(said.join()).not.toContain('lamp-one-side');
});

test('a zone that really has no lamp at two sides is told so', () => {
  const said = heard(SMALLEST.replace(/ {2}back: \{ beside.*\n/, ''));
  expect(said.join()).toContain('lamp-one-side');
});

test('days away without their own brackets are told how they are written', () => {
  const said = heard(`${SMALLEST}\nvisits: { away: [2026-04-01, 2026-04-10] }\n`);
  expect(said.join()).toContain('Write it like `[[2026-04-01, 2026-04-10]]`.');
});

test('a white as its package has it is told as a temperature', () => {
  const said = heard(SMALLEST.replace('flux: 350 lm', 'flux: 350 lm, colour: warm white'));
  expect(said.join()).toMatch(/value-unknown-word.*`3000 K` for warm/);
});

test('a side for a lean is told how one side is held', () => {
  const stages =
    'regimes:\n  mine:\n    - { stage: climb, days: 40, photoperiod: 10 h, start: 08:00, level: [200 lx, 900 lx], lean: left }\n';
  expect(heard(SMALLEST.replace('batches:', `${stages}batches:`)).join()).toMatch(
    /value-unknown-word.*One side throughout is written `\{ hold: left \}`/,
  );
});

test('a rack lit by the room alone, too dimly, is told that, and nothing of sides', () => {
  const text = SMALLEST.replace(/lamps:\n(?: {2}.*\n)+/, '').concat(
    'background: { room: { from: above, level: 250 lx, hours: [07:00, 19:00] } }\n',
  );
  const said = heard(text).find((one) => one.startsWith('light-unlit'));
  expect(said).toMatch(
    /no lamp adds to the light that comes anyway \(at most \d+ lx; the plan asks for 200 lx or more\)/,
  );
  expect(said).not.toContain('45°');
});

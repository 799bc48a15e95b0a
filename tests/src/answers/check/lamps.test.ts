/** What the lamps of a zone are said to do, and why one is off. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { whyLines } from '../../../../src/answers/check/lamps.ts';
import { oneZone } from '../../../support/one-zone.ts';
import { boards } from '../visits/plan.ts';

const left = (lumens: number): string => `  left: { beside: A, side: left, output: 1, flux: ${lumens} lm }`;
const lines = (lamps: string): string =>
  whyLines(compilePlan(oneZone(lamps), { boards, advise: false })).join('\n');

describe('what a lamp does', () => {
  it('is told as too faint where it does not count as light, and nothing is said to be nearly missed', () => {
    const told = lines(left(2));
    expect(told).toMatch(
      /left off: too faint to count: alone it gives the bags at most \d+ lx, and light counts from 75 lx on\.\n/,
    );
    expect(lines(left(10))).not.toContain('May miss');
  });

  it('is told as too faint where it would add nothing worth a lamp, else as not needed', () => {
    const more = (lumens: number): string =>
      `${left(800)}\n  more: { beside: A, side: left, output: 2, flux: ${lumens} lm }`;
    expect(lines(more(2))).toContain('more off: too faint to count');
    expect(lines(more(20))).toContain('more off: not needed');
  });

  it('is told by the eye too only where that is another level', () => {
    const red = '  red: { beside: A, side: right, output: 2, flux: 300 lm, colour: red }';
    const told = lines(`${left(300)}\n${red}`);
    expect(told).toContain('red off: growth does not bend to its colour');
    expect(told).not.toContain('By the eye');
    const blue = '  blue: { beside: A, side: left, output: 1, flux: 60 lm, colour: blue }';
    expect(lines(blue)).toMatch(/By the eye \d+ lx/);
  });
});

/** Where light is told as that of caps: from 500 lx on, and not a hair below. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';

/** A bag that the room alone lights, so that its level goes with the window's. */
const compiled = (lux: number): Compiled =>
  compilePlan(
    `leanward: 1
place: { timezone: America/Chicago }
shelves: { counter: { size: [36 in, 14 in], clear: 20 in } }
zones: { A: { bags: [1, 1] } }
background: { window: { from: front, level: ${lux} lx, hours: [08:00, 18:00] } }
bags: { tall: { footprint: [8 in, 5 in], height: 15.5 in, fill: 5 lb } }
regimes:
  lit:
    - { stage: climb, days: 30, photoperiod: 10 h, start: 08:00, lean: { hold: front } }
batches: { spring: { sealed: 2026-02-16, regime: lit } }
visits: { harvest: { from: 10 d, until: 20 d } }
`,
    { boards, advise: false },
  );

const levelOf = (one: Compiled): number => itemAt(sure(one.timeline).steered.treatments, 0).figures.level.low;
const isTold = (one: Compiled): boolean => one.findings.some(({ code }) => code === 'light-cap-range');

describe('light as for caps', () => {
  it('is told where the least-lit point has 500 lx, and not at 499', () => {
    const share = levelOf(compiled(1000)) / 1000;
    const [below, at] = [499.5, 500.5].map((lux) => compiled(lux / share));
    expect(levelOf(sure(below))).toBeCloseTo(499.5, 6);
    expect(levelOf(sure(at))).toBeCloseTo(500.5, 6);
    expect([below, at].map((one) => isTold(sure(one)))).toEqual([false, true]);
  });
});

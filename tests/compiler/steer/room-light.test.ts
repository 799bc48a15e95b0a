/** Light that comes anyway: on one shelf, on one zone, and where there is no lamp at all. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const counter = (window: string, batches = 'zones: [A, B, C]'): string => `leanward: 1
place: { timezone: America/Chicago }
shelves:
  counter: { height: 0 in, size: [36 in, 14 in], clear: 20 in }
  pantry: { height: 40 in, size: [36 in, 14 in], clear: 20 in }
zones:
  A: { shelf: counter, x: [0 in, 17 in], bags: [1, 1] }
  B: { shelf: counter, x: [18 in, 36 in], bags: [1, 1] }
  C: { shelf: pantry, bags: [3, 1] }
background:
  window: { from: front, level: 700 lx, hours: [08:00, 18:00], ${window} }
bags:
  tall: { footprint: [8 in, 5 in], height: 15.5 in, fill: 5 lb }
regimes:
  lit:
    - { stage: climb, days: 30, photoperiod: 10 h, start: 08:00, lean: { hold: front } }
batches:
  spring: { sealed: 2026-02-16, regime: lit, ${batches} }
visits: { harvest: { from: 10 d, until: 20 d } }
`;

/** Mean levels by zone in the climb, lx. */
function levels(source: string): number[] {
  const { timeline } = compilePlan(source, { boards, advise: false });
  const { treatments } = sure(timeline).steered;
  return [0, 1, 2].map((zone) => sure(treatments.find((one) => one.zone === zone)).figures.level.low);
}

describe('background light', () => {
  it('shines everywhere, unless it is said where', () => {
    const [a, b, c] = levels(counter('on: [Mon, Tue, Wed, Thu, Fri, Sat, Sun]'));
    expect(Math.min(sure(a), sure(b), sure(c))).toBeGreaterThan(100);
    const onShelf = levels(counter('shelf: counter'));
    expect(onShelf).toEqual([a, b, 0]);
    expect(levels(counter('zones: [B]'))).toEqual([0, b, 0]);
  });

  it('tells apart zones that are alike but for it', () => {
    const alike = counter('shelf: counter')
      .replace(
        '  A: { shelf: counter, x: [0 in, 17 in], bags: [1, 1] }\n',
        '  A: { shelf: counter, bags: [3, 1] }\n',
      )
      .replace('  B: { shelf: counter, x: [18 in, 36 in], bags: [1, 1] }\n', '')
      .replace('[A, B, C]', '[A, C]');
    const { timeline } = compilePlan(alike, { boards, advise: false });
    const { treatments } = sure(timeline).steered;
    const level = (zone: number): number =>
      sure(treatments.find((one) => one.zone === zone)).figures.level.low;
    expect(level(0)).toBeGreaterThan(100);
    expect(level(1)).toBe(0);
  });

  it('is all there is on a counter without lamps, and the plan has a table for its visits', () => {
    const { plan, tables, findings } = compilePlan(counter('shelf: counter', 'zones: [A]'), { boards });
    expect(plan?.lamps).toEqual([]);
    expect(tables).toHaveLength(1);
    expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(findings.map(({ code }) => code)).not.toContain('light-unlit');
  });

  it('names one shelf or zones, and ones that there are', () => {
    const codes = (window: string): string[] =>
      readPlan(counter(window), { boards }).findings.flatMap(({ code, severity }) =>
        severity === 'error' ? [code] : [],
      );
    expect(codes('shelf: counter, zones: [A]')).toEqual(['key-excludes']);
    expect(codes('shelf: attic')).toEqual(['name-unknown']);
    expect(codes('zones: [Z]')).toEqual(['name-unknown']);
    expect(itemAt(sure(readPlan(counter('zones: [B]'), { boards }).plan).background, 0).zones).toEqual([1]);
  });
});

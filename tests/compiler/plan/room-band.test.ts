/** Which temperature a stage asks for, and which band its board gets; degrees worked out by hand: °C = (°F − 32) · 5/9. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { bandOfBoard, bandOfStage } from '../../../compiler/plan/room-band.ts';
import { itemAt } from '../../../shared/assert.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { boardsById } from '../../../src/jobs/plan-file.ts';
import { type Change, codesOf, sample, smallest } from '../../support/read-plan.ts';

const REGIME = (...stages: string[]): Change => [
  'batches:',
  `regimes:\n  antler:\n${stages.map((one) => `    - ${one}\n`).join('')}batches:`,
];
const ROOM = (keep: string): Change => ['batches:', `room: { keep: ${keep} }\nbatches:`];
const TWO_STAGES = REGIME('{ stage: wake, keep: [59 F, 68 F] }', '{ stage: climb }');

const bands = (...changes: Change[]) => {
  const plan = smallest(...changes);
  const { stages } = itemAt(itemAt(plan.batches, 0).zones, 0);
  return { plan, stages: stages.map((stage) => bandOfStage(plan, stage)) };
};

describe('the temperature to keep', () => {
  it('is the stage’s own, in its own unit, else the room’s', () => {
    const { stages, plan } = bands(ROOM('[65 F, 80 F]'), TWO_STAGES);
    expect(stages).toEqual([
      { low: expect.closeTo(15, 9), high: expect.closeTo(20, 9) },
      { low: expect.closeTo(18.3333, 4), high: expect.closeTo(26.6667, 4) },
    ]);
    // The widest of both.
    expect(bandOfBoard(plan, 0)).toEqual({ low: expect.closeTo(15, 9), high: expect.closeTo(26.6667, 4) });
  });

  it('of a plan without a room is that of the stages that say one', () => {
    const { stages, plan } = bands(TWO_STAGES);
    expect(stages).toEqual([{ low: expect.closeTo(15, 9), high: expect.closeTo(20, 9) }, undefined]);
    expect(bandOfBoard(plan, 0)).toEqual(stages[0]);
    expect(bandOfBoard(smallest(), 0)).toBeUndefined();
  });

  it('of a board can be narrower than the room’s where all its stages ask for less', () => {
    const narrow = REGIME('{ stage: wake, keep: [66 F, 70 F] }', '{ stage: climb, keep: [68 F, 72 F] }');
    const { plan } = bands(ROOM('[65 F, 80 F]'), narrow);
    expect(bandOfBoard(plan, 0)).toEqual({
      low: expect.closeTo(18.8889, 4),
      high: expect.closeTo(22.2222, 4),
    });
  });

  it('of a board is asked for by its own zones only', () => {
    // `late` stands in B and D; its lamps hang on a second board.
    const plan = smallest(
      [
        '  front: { beside: A, side: front, output: 1, flux: 350 lm }\n  back: { beside: A, side: back, output: 2, flux: 350 lm }',
        '  front: { beside: A, side: front, output: one/1, flux: 350 lm }\n  back: { beside: B, side: back, output: two/1, flux: 350 lm }',
      ],
      ['shelves:', 'controllers: { one: { unit: 1 }, two: { unit: 2 } }\nshelves:'],
      [
        '  A: { bags: [5, 1] }',
        '  A: { x: [0 in, 12 in], bags: [2, 1] }\n  B: { x: [24 in, 36 in], bags: [2, 1] }',
      ],
      [
        'batches:\n  spring: { sealed: 2026-02-16 }',
        'regimes:\n  cool:\n    - { stage: wake, keep: [59 F, 68 F] }\n  warm:\n    - { stage: wake, keep: [77 F, 86 F] }\n' +
          'batches:\n  spring: { sealed: 2026-02-16, zones: [A], regime: cool }\n  summer: { sealed: 2026-02-16, zones: [B], regime: warm }',
      ],
    );
    expect(bandOfBoard(plan, 0)).toEqual({ low: expect.closeTo(15, 9), high: expect.closeTo(20, 9) });
    expect(bandOfBoard(plan, 1)).toEqual({ low: expect.closeTo(25, 9), high: expect.closeTo(30, 9) });
  });

  it('is on the board in sixteenths of a degree: 15 °C are 240, 26.667 °C are 427', () => {
    const text = [ROOM('[65 F, 80 F]'), TWO_STAGES].reduce(
      (all, [from, to]) => all.replace(from, to),
      sample('smallest'),
    );
    const decoded = decodeTable(itemAt(compilePlan(text, { boards: boardsById() }).tables, 0).encoded.bytes);
    expect(decoded.ok && decoded.table.room).toEqual({ low: 240, high: 427 });
  });

  it('is told where stage and room have no temperature in common, and where it is the wrong way round', () => {
    const stage = (keep: string): Change => REGIME(`{ stage: climb, keep: ${keep} }`);
    const apart = (keep: string): boolean =>
      codesOf(ROOM('[18 C, 27 C]'), stage(keep)).includes('room-stage-apart');
    expect(apart('[28 C, 30 C]')).toBe(true);
    expect(apart('[10 C, 17 C]')).toBe(true);
    expect(apart('[27 C, 30 C]')).toBe(false);
    expect(apart('[20 C, 22 C]')).toBe(false);
    expect(codesOf(stage('[28 C, 30 C]'))).not.toContain('room-stage-apart');
    expect(codesOf(stage('[30 C, 28 C]'))).toContain('value-order');
    expect(codesOf(stage('[30, 28]'))).toContain('unit-missing');
  });
});

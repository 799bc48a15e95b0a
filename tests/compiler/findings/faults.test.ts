/**
 * A plan with twelve different faults gives twelve findings in one run: none
 * hides another, and none brings others along.
 */

import { describe, expect, test } from 'vitest';
import { renderFindings } from '../../../compiler/findings/render.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';

const TWELVE = `leanward: 1
place: { timezone: America/Chicgo }
shelves:
  upper: { height: 1100 mm, size: [1200 mm, 450 mm], clear: 520 mm }
  lower: { height: 500, size: [1200 mm, 450 mm], clear: 520 mm }
zones:
  A: { shelf: upper, x: [60 mm, 560 mm], y: [60 mm, 390 mm], bags: [1, 2] }
  B: { shelf: upper, x: [640 mm, 1300 mm], y: [60 mm, 390 mm], bags: [1, 2] }
  C: { shelf: lowr, x: [60 mm, 560 mm], y: [60 mm, 390 mm], bags: [1, 2] }
lamps:
  A-left: { beside: A, side: left, output: 1, flux:400 lm }
  A-right: { beside: A, side: rihgt, output: 2, flux: 400 lm }
  B-left: { beside: B, side: left, output: 9, flux: 400 lm }
  B-right: { beside: B, side: right, output: 4, flux: 400 kg }
bags:
  tall: { footprint: [200 mm, 120 mm], heigth: 480 mm, fill: 2.2 kg }
regimes:
  antler:
    - { stage: climb, days: 49, photoperiod: 26 h, lean: { sway: [left, right], every: 7 d } }
batches:
  early: { sealed: 2026-02-30, zones: [A] }
  late: { sealed: 2026-03-09, zones: [B] }
visits:
  hours: [08:00, 21:00]
  look: { every: 7 d, at: 22:00 }
`;

describe('many faults', () => {
  const { plan, findings, text, units } = readPlan(TWELVE, { boards });

  test('twelve faults, twelve findings', () => {
    const errors = findings.filter(({ severity }) => severity === 'error');
    const found = errors.map(({ code, span }) => `${code} ${text.slice(span.start, span.end)}`);
    expect(found).toEqual([
      'place-unknown-timezone America/Chicgo',
      'unit-missing 500',
      'zone-off-shelf B',
      'name-unknown lowr',
      'text-space-missing flux:',
      'value-unknown-word rihgt',
      'output-missing 9',
      'unit-other 400 kg',
      'key-unknown heigth',
      'stage-long-day 26 h',
      'date-impossible 2026-02-30',
      'visit-outside-hours 22:00',
    ]);
    expect(plan).toBeUndefined();
  });

  test('a fault in an entry that others copy is told once', () => {
    const copied = TWELVE.replace('  A: {', '  Z: { like: A, bags: [1, 1] }\n  A: {');
    const text = copied
      .replace('shelf: upper, x: [60 mm, 560 mm]', 'shelf: upper, x: [60, 560 mm]')
      .replace(', y: [60 mm, 390 mm], bags: [1, 2] }\n  B', ', y: [60 mm, 390 mm] }\n  B');
    const found = readPlan(text, { boards }).findings.map(({ code }) => code);
    expect(found.filter((code) => code === 'unit-missing')).toHaveLength(2);
    expect(found.filter((code) => code === 'key-missing')).toHaveLength(1);
  });

  test('what a broken copy misses is not told again', () => {
    const text = TWELVE.replace(
      'tall: { footprint: [200 mm, 120 mm], heigth: 480 mm,',
      'tall: { footprint: [200 mm, 120 mm],',
    ).replace('regimes:', '  small: { like: tall, fill: 1 kg }\n  odd: { like: none }\nregimes:');
    const { findings } = readPlan(text, { boards });
    expect(ofCode(findings, 'key-missing').map(({ facts }) => facts.key)).toEqual(['height']);
    expect(ofCode(findings, 'name-unknown').map(({ facts }) => facts.name)).toContain('none');
  });

  test('two keys missing from one entry are two findings', () => {
    const text = TWELVE.replace(
      'beside: A, side: left, output: 1, flux:400 lm',
      'spot: { at: [1 mm, 1 mm, 1 mm] }, output: 1',
    );
    const found = ofCode(readPlan(text, { boards }).findings, 'key-missing');
    expect(found.map(({ facts }) => facts.key).sort()).toEqual(['facing', 'flux']);
  });

  test('they read as one report', () => {
    const said = renderFindings(findings, { file: 'twelve.plan.yaml', text, units });
    expect(said).toContain('12 errors');
    expect(said).not.toMatch(/\bat .*\(.*:\d+:\d+\)/);
    expect(said).not.toContain('\u001b');
    expect(renderFindings(findings, { file: 'x', text, units, colour: true })).toContain('\u001b[1;31m');
  });
});

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { BOARDS } from '../../support/boards.ts';

/**
 * Two lamps of 60 W at either side of one zone, swaying: never on together, but for the
 * work light, in which both are. On 120 V: one draws 0.5 A, both 1 A.
 */
function plan(lean: string, place: string, board = 'mega328-relay8'): string {
  return `leanward: 1
place: { timezone: Europe/Lisbon, ${place} }
controllers: { rack: { board: ${board}, supply: { volts: 24 V, rating: 4 A } } }
shelves: { s: { size: [900 mm, 450 mm], clear: 560 mm } }
zones: { A: { x: [100 mm, 700 mm], bags: [3, 1] } }
lamps:
  left: { beside: A, side: left, output: 1, flux: 400 lm, power: 60 W }
  right: { beside: A, side: right, output: 2, flux: 400 lm, power: 60 W }
bags: { tall: { footprint: [150 mm, 150 mm], height: 480 mm, fill: 2.2 kg } }
regimes: { own: [ { stage: climb, days: 112, photoperiod: 12 h, start: 20:00, level: [1 lx, 100000 lx], lean: ${lean} } ] }
batches: { one: { sealed: 2026-03-02, regime: own } }
`;
}

const SWAY = '{ sway: [left, right], every: 7 d }';
const circuit = (amperes: number): string => `circuit: { volts: 120 V, rating: ${amperes} A }`;

function loads(text: string, code: string) {
  const { findings } = compilePlan(text, { boards: BOARDS });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  return findings.filter((one) => one.code === code).map(({ facts }) => facts);
}

describe('load', () => {
  it('counts the lamps that burn together, not all there are', () => {
    expect(loads(plan(SWAY, circuit(1)), 'load-circuit')).toEqual([]);
    expect(loads(plan(SWAY, circuit(0.6)), 'load-circuit')).toMatchObject([
      { amperes: 0.5, most: 0.48, everything: false },
    ]);
    expect(loads(plan('upright', circuit(1)), 'load-circuit')).toMatchObject([
      { amperes: 1, most: 0.8, everything: false },
    ]);
  });

  it('says when everything at once, as in the work light, is too much', () => {
    expect(loads(plan(SWAY, circuit(0.9)), 'load-circuit')).toMatchObject([
      { amperes: 1, rating: 0.9, everything: true },
    ]);
  });

  it('counts the lamps themselves where the supply feeds them: 60 W of 24 V are 2.5 A', () => {
    // Sway: 2.5 A of 4 A burn together, under 3.2 A; both with the work light are 5 A.
    const [found] = loads(plan(SWAY, circuit(10), 'mega328-dim6'), 'load-supply');
    expect(found).toMatchObject({ amperes: 5, rating: 4, everything: true });
  });
});

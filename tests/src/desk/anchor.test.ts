/** Where parts of the rack are, and how far a drag may take them. */

import { describe, expect, it } from 'vitest';
import { amongLamps, keptOnShelf } from '../../../src/desk/browser/anchor.ts';
import { lampShareWords, sharesWords } from '../../../src/desk/browser/glow.ts';
import { type Change, planOf, readChanged } from '../../support/read-plan.ts';

const plan = (...changes: readonly Change[]) => planOf(readChanged('pantry', changes));

describe('a drag', () => {
  it('leaves a zone on its shelf, to whose edges it may go; a lamp goes beyond', () => {
    // A stands from 60 to 560 mm across and from 60 to 390 mm deep, on a shelf of 1200 by 450 mm.
    const [pantry, A] = [plan(), { kind: 'zone', name: 'A' } as const];
    expect(keptOnShelf(pantry, A, 0, -300)).toBe(-60);
    expect(keptOnShelf(pantry, A, 0, 900)).toBe(640);
    expect(keptOnShelf(pantry, A, 1, -300)).toBe(-60);
    expect(keptOnShelf(pantry, A, 1, 300)).toBe(60);
    expect(keptOnShelf(pantry, A, 0, 25)).toBe(25);
    expect(keptOnShelf(pantry, { kind: 'lamp', name: 'A-left' }, 0, -300)).toBe(-300);
  });
});

describe('the line of the height', () => {
  it('begins among the lamps, not where a single high one would draw it; half up a shelf without lamps', () => {
    expect(amongLamps(plan(), 0)).toBe(330);
    const high = plan([
      'lamps:\n',
      'lamps:\n  top: { shelf: upper, output: pantry/1, spot: { at: [300 mm, 225 mm, 500 mm] }, facing: down, flux: 99 lm }\n',
    ]);
    expect(amongLamps(high, 0)).toBe(330);
    const upright = plan([
      'from: [10 mm, 20 mm, 330 mm],   to: [10 mm, 430 mm, 330 mm]',
      'from: [10 mm, 200 mm, 100 mm], to: [10 mm, 200 mm, 500 mm]',
    ]);
    expect(amongLamps({ ...upright, lamps: upright.lamps.slice(0, 1) }, 0)).toBe(300);
    expect(amongLamps({ ...plan(), lamps: [] }, 0)).toBe(260);
  });
});

describe('what a bag gets of a lamp', () => {
  it('is never rounded up to all nor down to nothing', () => {
    const shares = [
      { from: 'front', share: 0.9962 },
      { from: 'window', share: 0.0038 },
    ];
    expect(sharesWords({ shares })).toBe('front over 99 %');
    expect(lampShareWords({ shares }, 'window')).toBe('under 1 %');
    expect(lampShareWords({ shares }, 'back')).toBe('0 %');
    expect(sharesWords({ shares: [{ from: 'front', share: 1 }] })).toBe('front 100 %');
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import { applyEdits } from '../../../compiler/read/edits.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { type Movable, moveEntry } from '../../../compiler/write/move.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

const SMALL = `leanward: 1
place: { timezone: Europe/Lisbon } # here
shelves:
  one: { size: [1200 mm, 450 mm], clear: 520 mm }
zones:
  A: { x: [60 mm, 560 mm], y: [60 mm, 390 mm], bags: [1, 2] }
fixtures:
  bar: { strip: 300 mm, flux: 350 lm }
lamps:
  left:                       # the old one
    output: 1
    strip:
      from: [ 10 mm,  2 cm, 330 mm ] # low end
      to: [ 10 mm, 430 mm, 330 mm ]
    facing: right
    flux: 350 lm
  spot: { output: 2, spot: { at: [20 in, 10 mm, 300 mm] }, facing: back, flux: 300 lm }
  near: { beside: A, side: front, output: 3, fixture: bar, up: 300 mm }
  copy: { like: left, output: 4 }
screens:
  mid: { x: 600 mm }
  part: { from: [700 mm, 0 mm, 0 mm], to: [700 mm, 200 mm, 300 mm] }
bags:
  tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg }
batches:
  first: { sealed: 2026-02-16 }
`;

const planOf = (text: string): ResolvedPlan => {
  const { plan, findings } = readPlan(text, { boards: BOARDS });
  if (!plan) throw new Error(JSON.stringify(findings.filter(({ severity }) => severity === 'error')));
  return plan;
};

function moved(text: string, what: Movable, shift: Vec3): string {
  return applyEdits(text, sure(moveEntry(text, planOf(text), what, shift))).text;
}

/** The lines that differ. */
function changes(before: string, after: string): string[] {
  const old = new Set(before.split('\n'));
  return after.split('\n').filter((line) => !old.has(line));
}

describe('moving an entry in the text', () => {
  it.each<[string, Movable, Vec3, string[]]>([
    [
      'a strip, each length in the unit it was written in',
      { kind: 'lamp', name: 'left' },
      [5, 10, 0],
      ['      from: [ 15 mm,  3 cm, 330 mm ] # low end', '      to: [ 15 mm, 440 mm, 330 mm ]'],
    ],
    [
      'a spot',
      { kind: 'lamp', name: 'spot' },
      [25.4, 0, -50],
      ['  spot: { output: 2, spot: { at: [21 in, 10 mm, 250 mm] }, facing: back, flux: 300 lm }'],
    ],
    [
      'a lamp beside a zone, by its gap and height',
      { kind: 'lamp', name: 'near' },
      [40, -10, 20],
      ['  near: { beside: A, side: front, output: 3, fixture: bar, up: 320 mm, gap: 60.8 mm }'],
    ],
    [
      'what it copied from another is written out',
      { kind: 'lamp', name: 'copy' },
      [100, 0, 0],
      [
        '  copy: { like: left, output: 4, strip: { from: [110 mm, 20 mm, 330 mm], to: [110 mm, 430 mm, 330 mm] } }',
      ],
    ],
    [
      'a board across the shelf, sideways only',
      { kind: 'screen', name: 'mid' },
      [-5, 30, 30],
      ['  mid: { x: 595 mm }'],
    ],
    [
      'a smaller board',
      { kind: 'screen', name: 'part' },
      [0, 10, 0],
      ['  part: { from: [700 mm, 10 mm, 0 mm], to: [700 mm, 210 mm, 300 mm] }'],
    ],
    [
      'a zone',
      { kind: 'zone', name: 'A' },
      [10, 0, 0],
      ['  A: { x: [70 mm, 570 mm], y: [60 mm, 390 mm], bags: [1, 2] }'],
    ],
    ['nothing where it does not move that way', { kind: 'zone', name: 'A' }, [0, 0, 9], []],
  ])('%s', (_, what, shift, lines) => {
    expect(changes(SMALL, moved(SMALL, what, shift))).toEqual(lines);
  });

  it('leaves alone what is written elsewhere', () => {
    const text = SMALL.replace('x: [60 mm, 560 mm]', 'x: &wide [60 mm, 560 mm]').replace(
      'y: [60 mm, 390 mm]',
      'y: *wide',
    );
    const { plan } = readPlan(SMALL, { boards: BOARDS });
    expect(moveEntry(text, sure(plan), { kind: 'zone', name: 'A' }, [0, 5, 0])).toBeUndefined();
  });

  it.each(['pantry', 'pantry-open', 'wire-rack', 'smallest'])(
    'of %s there and back again is the same plan',
    (name) => {
      const text = samplePlan(name);
      const plan = planOf(text);
      const parts: Movable[] = [
        ...plan.lamps.map((lamp) => ({ kind: 'lamp' as const, name: lamp.name })),
        ...plan.screens.map((screen) => ({ kind: 'screen' as const, name: screen.name })),
        ...plan.zones.map((zone) => ({ kind: 'zone' as const, name: zone.name })),
      ];
      const step = fc.integer({ min: -4, max: 4 }).map((n) => n * (plan.units === 'us' ? 25.4 : 5));
      fc.assert(
        fc.property(fc.constantFrom(...parts), step, step, step, (what, x, y, z) => {
          const there = applyEdits(text, sure(moveEntry(text, plan, what, [x, y, z]))).text;
          expect(there.split('\n')).toHaveLength(text.split('\n').length);
          const between = readPlan(there, { boards: BOARDS }).plan;
          if (!between) return;
          const back = applyEdits(there, sure(moveEntry(there, between, what, [-x, -y, -z]))).text;
          const after = planOf(back);
          const places = (one: ResolvedPlan) =>
            JSON.stringify([one.lamps.map(({ shape }) => shape), one.screens, one.zones], (key, value) =>
              key === 'span' ? undefined : typeof value === 'number' ? Math.round(value * 10) / 10 : value,
            );
          // A gap ends at the zone.
          const stopped = plan.lamps.some(({ name: lamp, beside }) => lamp === what.name && beside);
          if (!stopped) expect(places(after)).toEqual(places(plan));
        }),
        { numRuns: 12 },
      );
    },
  );
});

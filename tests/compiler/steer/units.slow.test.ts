/**
 * A rack written in inches and pounds is the rack written in millimetres and kilograms: the
 * same light to every digit that is kept, and the same blocks. By definition of the units
 * (1 in = 25.4 mm, 1 lb = 0.45359237 kg).
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS } from '../../support/boards.ts';
import { share } from '../../support/share.ts';

interface Words {
  readonly length: (inches: number) => string;
  readonly mass: (pounds: number) => string;
}
const US: Words = { length: (inches) => `${inches} in`, mass: (pounds) => `${pounds} lb` };
const METRIC: Words = {
  length: (inches) => `${(inches * 25.4).toFixed(1)} mm`,
  mass: (pounds) => `${(pounds * 0.45359237).toFixed(8)} kg`,
};

const int = (min: number, max: number) => fc.integer({ min, max });
const racks = fc.record({
  width: int(30, 60),
  depth: int(14, 24),
  clear: int(20, 26),
  wire: fc.boolean(),
  across: int(1, 3),
  fill: int(3, 5),
  screen: fc.boolean(),
  leans: fc.array(
    fc.constantFrom('upright', '{ hold: left }', '{ hold: front }', '{ sway: [front, back], every: 7 d }'),
    {
      minLength: 2,
      maxLength: 2,
    },
  ),
  lamps: fc.array(
    fc.record({
      zone: fc.constantFrom('A', 'B'),
      side: fc.constantFrom('left', 'right', 'front', 'back'),
      flux: int(100, 900),
      kind: fc.constantFrom('beside', 'spot', 'panel'),
      at: int(2, 12),
    }),
    { minLength: 1, maxLength: 5 },
  ),
});
type Rack = typeof racks extends fc.Arbitrary<infer T> ? T : never;

function textOf(rack: Rack, { length, mass }: Words): string {
  const half = Math.floor(rack.width / 2);
  const lamp = ({ zone, side, flux, kind, at }: Rack['lamps'][number], n: number): string => {
    const place = `[${length(at)}, ${length(1)}, ${length(12)}]`;
    const where =
      kind === 'beside'
        ? `beside: ${zone}, side: ${side}`
        : kind === 'spot'
          ? `shelf: s, spot: { at: ${place}, beam: 90 deg }, facing: back`
          : `shelf: s, panel: { at: ${place}, size: [${length(4)}, ${length(6)}] }, facing: back`;
    return `  l${n}: { ${where}, output: ${n + 1}, flux: ${flux} lm }`;
  };
  return `leanward: 1
place: { timezone: Europe/Lisbon }
shelves:
  s: { size: [${length(rack.width)}, ${length(rack.depth)}], clear: ${length(rack.clear)}, height: ${length(30)}, deck: ${rack.wire ? 'wire' : 'solid'} }
zones:
  A: { x: [${length(1)}, ${length(half - 1)}], y: [${length(2)}, ${length(rack.depth - 2)}], bags: [${Math.min(rack.across, Math.floor((half - 2) / 5))}, 1] }
  B: { x: [${length(half + 1)}, ${length(rack.width - 1)}], y: [${length(2)}, ${length(rack.depth - 2)}], bags: [1, 1] }
lamps:
${rack.lamps.map(lamp).join('\n')}
${rack.screen ? `screens: { mid: { shelf: s, x: ${length(half)} } }\n` : ''}bags: { tall: { footprint: [${length(5)}, ${length(8)}], height: ${length(19)}, fill: ${mass(rack.fill)}, film: { passes: 0.8, scatters: 0.5 }, density: 0.65 kg/L } }
regimes:
${rack.leans.map((lean, n) => `  r${n}: [ { stage: climb, days: 14, photoperiod: 12 h, start: 08:00, level: [300 lx, 1500 lx], lean: ${lean} } ]`).join('\n')}
batches:
  one: { sealed: 2026-02-16, zones: [A], regime: r0 }
  two: { sealed: 2026-02-16, zones: [B], regime: r1 }
`;
}

it('metric or US, the light and the blocks are the same', () => {
  let sound = 0;
  fc.assert(
    fc.property(racks, (rack) => {
      const [us, metric] = [US, METRIC].map((words) =>
        compilePlan(textOf(rack, words), { boards: BOARDS, advise: false }),
      );
      const codes = (of: typeof us) => sure(of).findings.map(({ code }) => code);
      expect(codes(us)).toEqual(codes(metric));
      if (!us?.timeline || !metric?.timeline) return;
      sound++;
      expect(us.timeline.days).toEqual(metric.timeline.days);
      const figures = (of: typeof us) => sure(of.timeline).steered.treatments.map((one) => one.figures.bags);
      figures(us).forEach((bags, n) => {
        bags.forEach((bag, k) => {
          const same = sure(figures(metric)[n]?.[k]);
          expect(Math.abs(bag.mean - same.mean)).toBeLessThanOrEqual(0.02);
          expect(Math.abs((bag.direction ?? 0) - (same.direction ?? 0))).toBeLessThanOrEqual(0.02);
        });
      });
    }),
    { seed: 13, numRuns: share(15, 150) },
  );
  expect(sound).toBeGreaterThan(share(8, 80));
});

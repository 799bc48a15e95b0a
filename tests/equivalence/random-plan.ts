/**
 * Random small plans as text, for property tests. Invented data.
 *
 * Always holds: the plan compiles (a property that meets an error fails).
 */

import fc from 'fast-check';
import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import { ZONES } from './zones.ts';

const clock = fc
  .tuple(fc.integer({ min: 0, max: 23 }), fc.integer({ min: 0, max: 11 }))
  .map(([hour, five]) => `${String(hour).padStart(2, '0')}:${String(five * 5).padStart(2, '0')}`);

const stage = (name: string): fc.Arbitrary<string> =>
  fc
    .record({
      days: fc.integer({ min: 1, max: 12 }),
      dark: fc.boolean(),
      hours: fc.oneof(fc.integer({ min: 1, max: 23 }), fc.constant(24)),
      start: clock,
      lean: fc.oneof(
        fc.constant('upright'),
        fc.constantFrom('left', 'right').map((side) => `{ hold: ${side} }`),
        fc.integer({ min: 1, max: 4 }).map((every) => `{ sway: [left, right], every: ${every} d }`),
        fc
          .constantFrom('[left, back, right]', '[right, left, front, 45 deg]')
          .map((sides) => `{ wind: ${sides}, every: 2 d }`),
        fc.constant('{ sway: [left, right], every: 3 d, by: turning }'),
      ),
      lift: fc.option(fc.integer({ min: 1, max: 5 }), { nil: undefined }),
    })
    .map(({ days, dark, hours, start, lean, lift }) => {
      const head = `{ stage: ${name}, days: ${days}`;
      if (dark) return `${head}, light: none }`;
      const visit = lift ? `, lift: { every: ${lift} d, at: 18:00 }` : '';
      return `${head}, photoperiod: ${hours} h, start: ${start}, level: [1 lx, 100000 lx], lean: ${lean}${visit} }`;
    });

/** Two shelves with a left and a right lamp for each of up to three zones. */
export const randomPlan: fc.Arbitrary<string> = fc
  .record({
    timezone: fc.constantFrom(...ZONES),
    steady: fc.boolean(),
    stages: fc.tuple(stage('wake'), stage('climb'), stage('ripen')),
    // Before the clock changes of spring and autumn, north and south.
    base: fc.constantFrom(9545, 9570, 9720, 9765),
    sealed: fc.array(fc.integer({ min: 0, max: 30 }), { minLength: 3, maxLength: 3 }),
    look: fc.constantFrom('{ every: 5 d, at: 18:00 }', '{ on: [Tue, Fri], at: 18:30 }'),
    away: fc.option(fc.integer({ min: 0, max: 40 }), { nil: undefined }),
    board: fc.constantFrom('mega328-relay8', 'mega328-dim6'),
  })
  .map(({ timezone, steady, stages, base, sealed, look, away, board }) => {
    const zones = ['A', 'B', 'C'];
    const day = (after: number): string => isoDate(civilDay(base + after));
    const lines = [
      'leanward: 1',
      `place: { timezone: ${timezone} }`,
      ...(steady ? ['clock: steady'] : []),
      `controllers: { rack: { board: ${board} } }`,
      'shelves:',
      ...zones.map(
        (zone, at) => `  ${zone}s: { height: ${at * 700 + 300} mm, size: [900 mm, 400 mm], clear: 600 mm }`,
      ),
      'zones:',
      ...zones.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
      'lamps:',
      ...zones.flatMap((zone, at) => [
        `  ${zone}-left: { beside: ${zone}, side: left, output: ${at * 2 + 1}, flux: 400 lm }`,
        `  ${zone}-right: { beside: ${zone}, side: right, output: ${at * 2 + 2}, flux: 400 lm }`,
      ]),
      'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
      'regimes:',
      '  own:',
      ...stages.map((text) => `    - ${text}`),
      'batches:',
      ...zones.map(
        (zone, at) => `  b${zone}: { sealed: ${day(itemAt(sealed, at))}, zones: [${zone}], regime: own }`,
      ),
      'visits:',
      '  hours: [08:00, 21:00]',
      `  look: ${look}`,
      ...(away === undefined ? [] : [`  away: [[${day(away)}, ${day(away + 4)}]]`]),
      '',
    ];
    return lines.join('\n');
  });

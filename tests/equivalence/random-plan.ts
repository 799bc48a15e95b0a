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

/** Files that the lamps of random plans may name: a white diode's two peaks, made up. */
export const RANDOM_FILES: Readonly<Record<string, string>> = {
  'diode.csv': 'nm,power\n380,0\n430,0.1\n450,1\n470,0.2\n500,0.1\n560,0.6\n620,0.4\n700,0.1\n780,0\n',
};

const light = fc.constantFrom(
  ...['', '', '', ', colour: 3000 K', ', colour: 6500 K', ', colour: 455 nm', ', colour: red'],
  ', spectrum: diode.csv',
);

/** Bands of the room and of stages, some apart from one another. */
const band = fc.constantFrom('[18 C, 24 C]', '[21 C, 27 C]', '[16 C, 18 C]', '[70 F, 82 F]');
const keep = fc.option(band, { nil: undefined, freq: 2 });

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
      own: keep,
    })
    .map(({ days, dark, hours, start, lean, lift, own }) => {
      const head = `{ stage: ${name}, days: ${days}${own ? `, keep: ${own}` : ''}`;
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
    lights: fc.array(light, { minLength: 6, maxLength: 6 }),
    room: keep,
  })
  .map(({ timezone, steady, stages, base, sealed, look, away, board, lights, room }) => {
    const zones = ['A', 'B', 'C'];
    const day = (after: number): string => isoDate(civilDay(base + after));
    const lines = [
      'leanward: 1',
      `place: { timezone: ${timezone} }`,
      ...(steady ? ['clock: steady'] : []),
      ...(room === undefined ? [] : [`room: { keep: ${room} }`]),
      `controllers: { rack: { board: ${board} } }`,
      'shelves:',
      ...zones.map(
        (zone, at) => `  ${zone}s: { height: ${at * 700 + 300} mm, size: [900 mm, 400 mm], clear: 600 mm }`,
      ),
      'zones:',
      ...zones.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
      'lamps:',
      ...zones.flatMap((zone, at) => [
        `  ${zone}-left: { beside: ${zone}, side: left, output: ${at * 2 + 1}, flux: 400 lm${itemAt(lights, at * 2)} }`,
        `  ${zone}-right: { beside: ${zone}, side: right, output: ${at * 2 + 2}, flux: 400 lm${itemAt(lights, at * 2 + 1)} }`,
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

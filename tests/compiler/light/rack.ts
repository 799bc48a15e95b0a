/**
 * Resolved plans for tests, built by hand: the pantry rack with and without its
 * screens, the wire rack, and small racks made to order.
 */

import { NOWHERE } from '../../../compiler/findings/finding.ts';
import type {
  BatchZone,
  LampSide,
  Lean,
  ResolvedBag,
  ResolvedBatch,
  ResolvedController,
  ResolvedLamp,
  ResolvedPlan,
  ResolvedScreen,
  ResolvedShelf,
  ResolvedStage,
  ResolvedZone,
  Vec3,
} from '../../../compiler/plan/plan.ts';
import type { DayDemands, Demand } from '../../../compiler/timeline/demand.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import type { Board } from '../../../shared/board.ts';
import { dayFromIso, weekday } from '../../../shared/civil.ts';
import {
  type CivilDay,
  type Degrees,
  degrees,
  kilograms,
  lumens,
  lux,
  millimetres,
  minutes,
  watts,
} from '../../../shared/units.ts';

export const day = (iso: string): CivilDay => sure(dayFromIso(iso));

const output = (kind: 'relay' | 'dim') => ({ pin: 'D4', kind, active: 'low' as const });

function board(id: string, kinds: readonly ('relay' | 'dim')[]): Board {
  return {
    id,
    title: id,
    number: 1,
    chip: 'atmega328p',
    clockHz: 16_000_000,
    outputs: kinds.map(output),
    pins: {
      tick: 'D2',
      buzzer: 'D3',
      probe: 'D12',
      indicator: 'D13',
      button: 'A2',
      direction: 'A3',
    },
    limits: { dwellSeconds: 60, blockMinutes: 15, outputAmperes: 10 },
    supply: { neededMillivolts: 4_500 },
    memory: { tableBytes: 440, logRecords: 192 },
    link: { baud: 38400, uploadRegisters: 16 },
  };
}

export function controller(name: string, kinds: readonly ('relay' | 'dim')[]): ResolvedController {
  return { name, board: board(name, kinds), unit: 1, supply: undefined, span: NOWHERE };
}

export const relays = (count: number) => Array.from({ length: count }, () => 'relay' as const);

export function shelf(
  name: string,
  height: number,
  width: number,
  depth: number,
  clear: number,
  passes = 0,
): ResolvedShelf {
  return {
    name,
    height: millimetres(height),
    width: millimetres(width),
    depth: millimetres(depth),
    clear: millimetres(clear),
    deckPasses: passes,
    span: NOWHERE,
  };
}

export function zone(
  name: string,
  onShelf: number,
  x: readonly [number, number],
  y: readonly [number, number],
  across: number,
  deep: number,
): ResolvedZone {
  const at = ([low, high]: readonly [number, number], index: number, of: number): number =>
    low + ((high - low) * (index + 0.5)) / of;
  const places = Array.from({ length: across * deep }, (_, n) => ({
    name: `${name}${n + 1}`,
    x: millimetres(at(x, n % across, across)),
    y: millimetres(at(y, Math.floor(n / across), deep)),
  }));
  const range = ([low, high]: readonly [number, number]) => [millimetres(low), millimetres(high)] as const;
  return { name, shelf: onShelf, x: range(x), y: range(y), across, deep, places, span: NOWHERE };
}

export function strip(
  name: string,
  onShelf: number,
  number: number,
  from: Vec3,
  to: Vec3,
  facing: Vec3,
  flux: number,
  extra: Partial<ResolvedLamp> = {},
): ResolvedLamp {
  return {
    name,
    shelf: onShelf,
    output: { controller: 0, number },
    shape: { kind: 'strip', from, to },
    facing,
    flux: lumens(flux),
    power: watts(5),
    photometry: undefined,
    dimmable: false,
    beside: undefined,
    helps: [],
    span: NOWHERE,
    ...extra,
  };
}

export const LEFT = degrees(270);
export const RIGHT = degrees(90);
export const FRONT = degrees(180);
export const BACK = degrees(0);
export const UPRIGHT: Lean = { kind: 'upright' };

export function sway(sides: readonly Degrees[], every: number): Lean {
  return { kind: 'sides', motion: 'sway', sides, every, by: 'lamps', lampSide: undefined };
}

export const hold = (side: Degrees): Lean => ({
  kind: 'sides',
  motion: 'hold',
  sides: [side],
  every: 49,
  by: 'lamps',
  lampSide: undefined,
});

export function stage(
  name: string,
  from: CivilDay,
  days: number,
  light: readonly [start: number, photoperiod: number] | undefined,
  level: readonly [number, number] | undefined,
  lean: Lean,
): ResolvedStage {
  return {
    name,
    from,
    days,
    regular: { begins: 0, days },
    light: light && { start: minutes(light[0]), photoperiod: minutes(light[1]) },
    level: level && [lux(level[0]), lux(level[1])],
    lean,
    lift: undefined,
    look: undefined,
    span: NOWHERE,
  };
}

/** The four stages of the built-in regime from a sealing day, with the climb's lean as given. */
export function antler(sealed: CivilDay, climb: Lean, high = 2000): ResolvedStage[] {
  const on = (after: number): CivilDay => (sealed + after) as CivilDay;
  return [
    stage('colonise', on(0), 28, undefined, undefined, UPRIGHT),
    stage('wake', on(28), 14, [540, 480], [200, 1000], UPRIGHT),
    stage('climb', on(42), 49, [480, 720], [300, high], climb),
    stage('ripen', on(91), 21, [480, 720], [300, high], UPRIGHT),
  ];
}

export function batchZone(index: number, stages: readonly ResolvedStage[]): BatchZone {
  const last = sure(stages.at(-1));
  return {
    zone: index,
    regime: 'antler',
    isMovedTo: false,
    enters: itemAt(stages, 0).from,
    free: (last.from + last.days) as CivilDay,
    isEnded: false,
    stages,
  };
}

export function batch(
  name: string,
  sealed: CivilDay,
  bag: number,
  zones: readonly BatchZone[],
): ResolvedBatch {
  return {
    name,
    sealed,
    zones,
    home: zones.map(({ zone }) => zone),
    bag,
    strain: undefined,
    spawn: undefined,
    lot: undefined,
    note: undefined,
    span: NOWHERE,
  };
}

export function bag(over: Partial<ResolvedBag> = {}): ResolvedBag {
  return {
    name: 'tall',
    footprint: [millimetres(200), millimetres(120)],
    height: millimetres(480),
    fill: kilograms(2.2),
    density: 0.65,
    film: { passes: 0.7, scatters: 0.4 },
    mix: undefined,
    span: NOWHERE,
    ...over,
  };
}

const range = (mid: number, low: number, high: number) => ({ low, mid, high });

/** A plan with everything left out that the light does not look at. */
export function plan(parts: Partial<ResolvedPlan>): ResolvedPlan {
  return {
    title: 'test rack',
    units: 'metric',
    timezone: 'Europe/Lisbon',
    clock: 'civil',
    circuit: undefined,
    controllers: [controller('rack', relays(8))],
    shelves: [],
    zones: [],
    lamps: [],
    screens: [],
    background: [],
    bags: [bag()],
    batches: [],
    visits: {
      hours: [[minutes(480), minutes(1260)]],
      most: undefined,
      pulse: { sound: true, light: true },
      look: undefined,
      harvest: undefined,
      away: [],
      span: NOWHERE,
    },
    room: undefined,
    growth: {
      rate: range(2.5, 1, 5),
      tip: range(8, 5, 12),
      pull: range(0.4, 0.1, 0.8),
      gravity: range(0.25, 0.1, 1),
      lag: range(0.5, 0.1, 2),
    },
    assumed: [],
    ...parts,
  };
}

/** The pantry rack: two solid shelves, four zones of two bags, a strip left and right of each. */
export function pantry(kind: 'screened' | 'open'): ResolvedPlan {
  const [front, back, flux] = kind === 'screened' ? [20, 430, 500] : [80, 370, 400];
  const lamp = (name: string, onShelf: number, number: number, x: number, toward: number): ResolvedLamp =>
    strip(name, onShelf, number, [x, front, 330], [x, back, 330], [toward, 0, 0], flux);
  const screen = (name: string, onShelf: number): ResolvedScreen => ({
    name,
    shelf: onShelf,
    from: [600, 0, 0],
    to: [600, 450, 520],
    span: NOWHERE,
  });
  const early = antler(day('2026-02-16'), sway([LEFT, RIGHT], 7));
  const late = antler(day('2026-03-09'), sway([LEFT, RIGHT], 7));
  return plan({
    shelves: [shelf('upper', 1100, 1200, 450, 520), shelf('lower', 500, 1200, 450, 520)],
    zones: [
      zone('A', 0, [60, 560], [60, 390], 1, 2),
      zone('B', 0, [640, 1140], [60, 390], 1, 2),
      zone('C', 1, [60, 560], [60, 390], 1, 2),
      zone('D', 1, [640, 1140], [60, 390], 1, 2),
    ],
    lamps: [
      lamp('A-left', 0, 1, 10, 1),
      lamp('A-right', 0, 2, 595, -1),
      lamp('B-left', 0, 3, 605, 1),
      lamp('B-right', 0, 4, 1190, -1),
      lamp('C-left', 1, 5, 10, 1),
      lamp('C-right', 1, 6, 595, -1),
      lamp('D-left', 1, 7, 605, 1),
      lamp('D-right', 1, 8, 1190, -1),
    ],
    screens: kind === 'screened' ? [screen('upper-mid', 0), screen('lower-mid', 1)] : [],
    batches: [
      batch('early', day('2026-02-16'), 0, [batchZone(0, early), batchZone(2, early)]),
      batch('late', day('2026-03-09'), 0, [batchZone(1, late), batchZone(3, late)]),
    ],
  });
}

const INCH = 25.4;

/** The wire rack: four wire decks of five bags, a long strip in front of and behind each, a batch a week. */
export function wireRack(): ResolvedPlan {
  const names = ['A', 'B', 'C', 'D'];
  const lamp = (name: string, onShelf: number, number: number, side: LampSide): ResolvedLamp => {
    const y = side === 'front' ? 1 * INCH : 13 * INCH;
    const ends = [1 * INCH, 35 * INCH].map((x): Vec3 => [x, y, 12 * INCH]);
    const facing: Vec3 = side === 'front' ? [0, 1, 0] : [0, -1, 0];
    return strip(name, onShelf, number, itemAt(ends, 0), itemAt(ends, 1), facing, 350, {
      power: watts(4),
      beside: { zone: onShelf, side },
    });
  };
  const sealed = ['2026-02-16', '2026-02-23', '2026-03-02', '2026-03-09'].map(day);
  return plan({
    shelves: [12, 34, 56, 78].map((height, n) =>
      shelf(itemAt(names, n), height * INCH, 36 * INCH, 14 * INCH, 21 * INCH, 0.8),
    ),
    zones: names.map((name, n) => zone(name, n, [0, 36 * INCH], [3 * INCH, 11 * INCH], 5, 1)),
    lamps: names.flatMap((name, n) => [
      lamp(`${name}-front`, n, 2 * n + 1, 'front'),
      lamp(`${name}-back`, n, 2 * n + 2, 'back'),
    ]),
    background: [
      {
        name: 'shop',
        from: FRONT,
        level: lux(60),
        hours: [minutes(540), minutes(1080)],
        on: [0, 1, 2, 3, 4, 5],
      },
    ],
    bags: [
      bag({
        footprint: [millimetres(5 * INCH), millimetres(8 * INCH)],
        height: millimetres(19 * INCH),
        fill: kilograms(2.268),
      }),
    ],
    batches: sealed.map((on, n) =>
      batch(`w${n}`, on, 0, [batchZone(n, antler(on, sway([FRONT, BACK], 7), 1500))]),
    ),
  });
}

/** A demand for one zone, at the civil clock. */
export function demand(over: Partial<Demand> & { readonly zone: number }): Demand {
  const start = over.start ?? minutes(480);
  return {
    batch: 0,
    start,
    length: minutes(720),
    clock: 'civil',
    lit: [0, 0],
    yields: 0,
    side: 'upright',
    level: [lux(300), lux(2000)],
    ...over,
  };
}

/** A day of a place whose clock never changes, with its demands lit from their starts. */
export function dayOf(
  on: CivilDay,
  demands: readonly Demand[],
  dark: DayDemands['dark'] = [],
  background: ResolvedPlan['background'] = [],
): DayDemands {
  const at = (minute: number): number => on * 1440 + minute;
  return {
    day: on,
    span: [at(0), at(1440)],
    background: background.flatMap(({ hours, on: weekdays }, entry) =>
      weekdays.includes(weekday(on)) ? [[entry, at(hours[0]), at(hours[1])] as const] : [],
    ),
    demands: demands.map((one) => ({ ...one, lit: [at(one.start), at(one.start + one.length)] as const })),
    dark,
  };
}

/** What a plan asks for day by day at the civil clock: enough of a timeline for tests of the light. */
export function daysOf(made: ResolvedPlan): DayDemands[] {
  const courses = made.batches.flatMap((entry, index) => entry.zones.map((course) => ({ index, course })));
  const first = Math.min(...courses.map(({ course }) => course.enters));
  const last = Math.max(...courses.map(({ course }) => course.free));
  return Array.from({ length: last - first }, (_, n) => {
    const on = (first + n) as CivilDay;
    const here = courses.filter(({ course }) => course.enters <= on && on < course.free);
    const demands = here.flatMap(({ index, course }) => {
      const now = course.stages.find((entry) => entry.from <= on && on < entry.from + entry.days);
      if (now?.light === undefined || now.level === undefined) return [];
      const { start, photoperiod } = now.light;
      const side = sideOn(now, on);
      return [
        demand({
          zone: course.zone,
          batch: index,
          start,
          length: photoperiod,
          side,
          level: now.level,
        }),
      ];
    });
    const lit = new Set(demands.map((entry) => entry.zone));
    const dark = here.flatMap(({ index, course }) =>
      lit.has(course.zone) ? [] : [[course.zone, index] as const],
    );
    return dayOf(on, demands, dark, made.background);
  });
}

function sideOn(now: ResolvedStage, on: CivilDay): Degrees | 'upright' {
  if (now.lean.kind === 'upright') return 'upright';
  const turn = Math.floor((on - now.from) / now.lean.every);
  return itemAt(now.lean.sides, turn % now.lean.sides.length);
}

/** A tower of shelves no two alike, each with two zones of two bags and four strips; staggered over 26 weeks. */
export function tower(zones: number): ResolvedPlan {
  const shelves = Array.from({ length: zones / 2 }, (_, n) =>
    shelf(`s${n}`, 500 + 620 * n, 1180 + (n % 41), 440 + (n % 23), 540 + (n % 7)),
  );
  const vary = (n: number, of: number): number => (n * 37) % of;
  const lamps = shelves.flatMap((_, n) =>
    [10, 590 - vary(n, 9), 605 + vary(n, 11), 1170].map((x, k) => {
      const facing: Vec3 = k % 2 === 0 ? [1, 0, 0] : [-1, 0, 0];
      const from: Vec3 = [x, 20 + vary(n, 31), 320 + vary(n, 17)];
      const to: Vec3 = [x, 420 - vary(n, 29), 320 + vary(n, 17)];
      const lamp = strip(`s${n}-${k}`, n, 0, from, to, facing, 380 + vary(n, 101));
      const index = 4 * n + k;
      return { ...lamp, output: { controller: Math.floor(index / 8), number: (index % 8) + 1 } };
    }),
  );
  const first = day('2026-02-16');
  const made = Array.from({ length: zones }, (_, n) => {
    const x = n % 2 === 0 ? ([60, 560] as const) : ([640, 1140] as const);
    return zone(`z${n}`, Math.floor(n / 2), x, [60, 390 - vary(n, 13)], 1, 2);
  });
  return plan({
    controllers: Array.from({ length: Math.ceil(lamps.length / 8) }, (_, n) =>
      controller(`c${n}`, relays(8)),
    ),
    shelves,
    zones: made,
    lamps,
    batches: made.map((entry, n) => {
      const sealed = (first + 7 * (n % 10)) as CivilDay;
      const side = n % 3 === 0 ? [LEFT, RIGHT] : [RIGHT, LEFT];
      return batch(`b-${entry.name}`, sealed, 0, [batchZone(n, antler(sealed, sway(side, 5 + (n % 4))))]);
    }),
  });
}

/** A tower of wire decks, two zones of three bags on each, a strip in front of and behind each; staggered. */
export function wireTower(zones: number): ResolvedPlan {
  const shelves = Array.from({ length: zones / 2 }, (_, n) =>
    shelf(`w${n}`, (12 + 22 * n) * INCH, 48 * INCH, 14 * INCH, 21 * INCH, 0.8),
  );
  const made = Array.from({ length: zones }, (_, n) => {
    const x = n % 2 === 0 ? ([1, 23] as const) : ([25, 47] as const);
    return zone(`z${n}`, Math.floor(n / 2), [x[0] * INCH, x[1] * INCH], [3 * INCH, 11 * INCH], 3, 1);
  });
  const lamps = made.flatMap((entry, n) =>
    (['front', 'back'] as const).map((side, k) => {
      const index = 2 * n + k;
      const y = side === 'front' ? INCH : 13 * INCH;
      const ends = [entry.x[0] + INCH, entry.x[1] - INCH].map((x): Vec3 => [x, y, 12 * INCH]);
      const facing: Vec3 = side === 'front' ? [0, 1, 0] : [0, -1, 0];
      const lamp = strip(
        `${entry.name}-${side}`,
        entry.shelf,
        0,
        itemAt(ends, 0),
        itemAt(ends, 1),
        facing,
        350,
      );
      const output = { controller: Math.floor(index / 8), number: (index % 8) + 1 };
      return { ...lamp, output, beside: { zone: n, side } };
    }),
  );
  const first = day('2026-02-16');
  return plan({
    controllers: Array.from({ length: Math.ceil(lamps.length / 8) }, (_, n) =>
      controller(`c${n}`, relays(8)),
    ),
    shelves,
    zones: made,
    lamps,
    batches: made.map((entry, n) => {
      const sealed = (first + 7 * (n % 10)) as CivilDay;
      return batch(`b-${entry.name}`, sealed, 0, [
        batchZone(n, antler(sealed, sway([FRONT, BACK], 7), 1500)),
      ]);
    }),
  });
}

/**
 * What `check` says would help is written into the plan, as the grower would write it, and the plan is
 * checked anew: on the day told the light is then as it was said.
 *
 * Always holds, on odd racks with strips long and short, spots, decks of wire, zones side by side, one
 * behind the other and over each other: a remedy that clears a fault leaves none of it on that day, and
 * no sentence about light has a hole in it.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { faultsOf } from '../../../compiler/advice/fault.ts';
import { lightReport } from '../../../compiler/advice/light-report.ts';
import { compilePlan } from '../../../compiler/compile.ts';
import type { LightFacts } from '../../../compiler/findings/facts.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import type { Figures } from '../../../compiler/steer/figures.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { drawRack, lightText } from '../../../src/answers/light/text.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { day } from '../../support/read-plan.ts';

const [WIDTH, DEPTH, CLEAR] = [1200, 420, 520];

interface Lamp {
  readonly name: string;
  readonly shelf: string;
  readonly place: string;
  readonly flux: number;
}

/** A rack as it is written, line by line, so that a remedy can be written into it. */
interface Rack {
  readonly decks: Readonly<Record<string, string>>;
  readonly zones: Readonly<
    Record<string, { shelf: string; x: [number, number]; y: [number, number]; bags: [number, number] }>
  >;
  readonly lamps: readonly Lamp[];
  readonly lean: string;
  readonly level: readonly [number, number];
  readonly screens: readonly string[];
  readonly background: string;
}

const textOf = ({ decks, zones, lamps, lean, level, screens, background }: Rack): string =>
  [
    'leanward: 1',
    'place: { timezone: America/Halifax }',
    'controllers: { rack: { board: mega328-relay8 } }',
    'shelves:',
    ...Object.entries(decks).map(
      ([name, deck], n) =>
        `  ${name}: { height: ${300 + 560 * n} mm, size: [${WIDTH} mm, ${DEPTH} mm], clear: ${CLEAR} mm, deck: ${deck} }`,
    ),
    'zones:',
    ...Object.entries(zones).map(
      ([name, { shelf, x, y, bags }]) =>
        `  ${name}: { shelf: ${shelf}, x: [${x.join(' mm, ')} mm], y: [${y.join(' mm, ')} mm], bags: [${bags.join(', ')}] }`,
    ),
    'lamps:',
    ...lamps.map(
      ({ name, shelf, place, flux }, n) =>
        `  ${name}: { shelf: ${shelf}, ${place}, output: ${(n % 6) + 1}, flux: ${flux} lm }`,
    ),
    ...(screens.length > 0 ? ['screens:', ...screens.map((one) => `  ${one}`)] : []),
    `background: ${background}`,
    'bags: { pint: { footprint: [100 mm, 130 mm], height: 330 mm, fill: 1.2 kg } }',
    'regimes:',
    '  short:',
    `    - { stage: climb, days: 4, photoperiod: 12 h, start: 08:00, level: [${level.join(' lx, ')} lx], lean: ${lean} }`,
    `    - { stage: ripen, days: 3, photoperiod: 12 h, start: 08:00, level: [${level.join(' lx, ')} lx], lean: upright }`,
    'batches:',
    ...Object.keys(zones).map(
      (name) => `  of-${name}: { sealed: 2026-02-16, zones: [${name}], regime: short }`,
    ),
    '',
  ].join('\n');

/** Zones side by side, one behind the other, or over each other. */
const LAYOUTS: readonly Rack['zones'][] = [
  {
    A: { shelf: 'low', x: [150, 550], y: [60, 360], bags: [3, 2] },
    B: { shelf: 'low', x: [650, 1050], y: [60, 360], bags: [3, 2] },
  },
  {
    A: { shelf: 'low', x: [100, 1100], y: [40, 180], bags: [6, 1] },
    B: { shelf: 'low', x: [100, 1100], y: [240, 380], bags: [6, 1] },
  },
  {
    A: { shelf: 'low', x: [200, 1000], y: [80, 340], bags: [5, 1] },
    B: { shelf: 'high', x: [200, 1000], y: [80, 340], bags: [4, 1] },
  },
  { A: { shelf: 'low', x: [400, 700], y: [30, 390], bags: [1, 2] } },
];

const flux = fc.constantFrom(60, 180, 350, 900, 2500);

function lampsFor(zones: Rack['zones']): fc.Arbitrary<Lamp[]> {
  const each = Object.entries(zones).flatMap(([name, { shelf, x, y }]) => {
    const middle = (x[0] + x[1]) / 2;
    const strip = (from: string, to: string, facing: string): string =>
      `strip: { from: [${from}], to: [${to}] }, facing: ${facing}`;
    const at = (px: number, py: number, pz = 270): string => `${px} mm, ${py} mm, ${pz} mm`;
    const places: [string, string[]][] = [
      [
        'left',
        [
          strip(at(x[0] - 40, y[0]), at(x[0] - 40, y[1]), 'right'),
          strip(at(x[0] - 40, y[0] + 90, 200), at(x[0] - 40, y[0] + 90, 330), 'right'),
          `spot: { at: [${at(x[0] - 40, (y[0] + y[1]) / 2)}], beam: 60 deg }, facing: right`,
        ],
      ],
      [
        'right',
        [
          strip(at(x[1] + 40, y[0]), at(x[1] + 40, y[1]), 'left'),
          strip(at(x[1] + 40, y[1]), at(x[1] + 40, y[0] + 60), 'left'),
        ],
      ],
      [
        'over',
        [
          `panel: { at: [${at(middle, (y[0] + y[1]) / 2, 500)}], size: [200 mm, 80 mm] }, facing: down`,
          `spot: { at: [${at(middle, y[0], 20)}] }, facing: up`,
        ],
      ],
    ];
    return places.map(([side, forms]) =>
      fc.record({ place: fc.constantFrom(...forms), flux, there: fc.boolean() }).map((one) => ({
        ...one,
        ...{ name: `${name}-${side}`, shelf, there: one.there || side === 'left' },
      })),
    );
  });
  return fc.tuple(...each).map((all) => all.filter(({ there }) => there));
}

const rack: fc.Arbitrary<Rack> = fc
  .constantFrom(...LAYOUTS)
  .chain((zones) =>
    fc.record({
      zones: fc.constant(zones),
      lamps: lampsFor(zones),
      decks: fc.tuple(fc.constantFrom('solid', 'wire'), fc.constantFrom('solid', 'wire')),
      lean: fc.constantFrom(
        ...['upright', '{ hold: left }', '{ hold: 45 deg }', '{ sway: [left, right], every: 2 d }'],
      ),
      level: fc.constantFrom([20, 4000] as const, [200, 600] as const, [900, 2500] as const),
      background: fc.constantFrom(
        ...['{}', '{ shop: { from: above, level: 12 lx, hours: [06:00, 23:00] } }'],
        '{ door: { from: left, level: 90 lx, hours: [10:00, 14:00], zones: [A] } }',
      ),
    }),
  )
  .map(({ decks: [low, high], ...rest }) => ({ ...rest, decks: { low, high }, screens: [] }));

type Told = Finding & { readonly facts: LightFacts };

/** The rack with a remedy written in; undefined where it is one of a length that is not written here. */
function helped(one: Rack, facts: LightFacts): Rack | undefined {
  if (facts.longerLamps) return undefined;
  const { zones, lamps, decks, screens } = one;
  const own = itemAt(
    Object.entries(zones).filter(([name]) => name === facts.zone),
    0,
  )[1];
  const { x, bags } = own;
  const step = (x[1] - x[0]) / bags[0];
  const ends = {
    ...own,
    x: [x[0] + step, x[1] - step] as [number, number],
    bags: [bags[0] - 2, bags[1]] as [number, number],
  };
  return {
    ...one,
    screens:
      facts.screenAt === undefined
        ? screens
        : [...screens, `tried: { shelf: ${facts.screenShelf}, ${facts.screenAxis}: ${facts.screenAt} mm }`],
    decks: facts.coverShelf === undefined ? decks : { ...decks, [facts.coverShelf]: 'solid' },
    zones: facts.emptyEnds === true ? { ...zones, [facts.zone]: ends } : zones,
    lamps: lamps.map((lamp) =>
      facts.fluxLamps?.includes(lamp.name)
        ? { ...lamp, flux: (lamp.flux * sure(facts.fluxPercent)) / 100 }
        : lamp,
    ),
  };
}

const KINDS: Readonly<Record<string, string>> = {
  'light-lean': 'lean',
  'light-uneven': 'upright',
  'light-level': 'level',
  'light-in-dark': 'dark',
  'light-unlit': 'unlit',
};

const tenth = (value: number | undefined): number | undefined => value && Math.round(value * 10) / 10;
const hundredth = (value: number | undefined): number | undefined => value && Math.round(value * 100) / 100;

/** What the light of a zone comes to, as it is told of each kind of fault. */
function figuresOf(kind: string, { direction, contrast, imbalance, level }: Figures) {
  if (kind === 'lean') return [tenth(direction), hundredth(contrast)];
  if (kind === 'upright') return [hundredth(imbalance)];
  if (kind === 'dark') return [tenth(level.high)];
  return [Math.round(level.low), Math.round(level.high)];
}

function toldOf(kind: string, facts: LightFacts) {
  if (kind === 'lean') return [facts.offAfter, facts.contrastAfter];
  if (kind === 'upright') return [facts.ratioAfter];
  if (kind === 'dark') return [facts.leakAfter];
  return [facts.levelAfter, facts.brightestAfter];
}

function look(text: string) {
  const { plan, timeline, findings, units } = compilePlan(text, { boards });
  const errors = findings.filter(({ severity }) => severity === 'error').map(({ code }) => code);
  return {
    plan,
    timeline,
    errors,
    units,
    told: findings.filter(({ code }) => code.startsWith('light-')) as Told[],
  };
}

describe('what is said to help', () => {
  it('helps, once it is written into the plan', () => {
    const seen = { helped: 0, told: 0 };
    fc.assert(
      fc.property(rack, (one) => {
        const text = textOf(one);
        const { plan, timeline, errors, units, told } = look(text);
        expect(errors, text).toEqual([]);
        const { field, steered } = sure(timeline);
        const report = lightReport(sure(plan), field, steered);
        expect(`${lightText(report)} ${drawRack(report)}`).not.toMatch(/undefined|NaN|Infinity/);
        for (const finding of told) {
          const { title, message, suggestion = '' } = wordsOf(finding, units);
          expect(`${title} ${message} ${suggestion}`).not.toMatch(/undefined|NaN|Infinity|``|\[object| {2}/);
          const { facts, code } = finding;
          const kind = KINDS[code];
          if (kind === undefined) continue;
          seen.told++;
          const better = facts.cleared === undefined ? undefined : helped(one, facts);
          if (better === undefined) continue;
          const after = look(textOf(better));
          expect(after.errors, textOf(better)).toEqual([]);
          const left = sure(after.timeline).steered.treatments.filter(
            ({ zone, firstDay, ask }) =>
              itemAt(sure(after.plan).zones, zone).name === facts.zone &&
              firstDay === day(facts.from) &&
              (ask.kind === 'dark') === (kind === 'dark'),
          );
          const faults = left.flatMap(faultsOf).filter((fault) => fault.kind === kind);
          expect(faults.length === 0, textOf(better)).toBe(facts.cleared);
          const figures = left.map((treatment) => figuresOf(kind, treatment.figures));
          expect(figures, textOf(better)).toContainEqual(toldOf(kind, facts));
          seen.helped++;
        }
      }),
      { numRuns: 8 },
    );
    expect(seen.helped).toBeGreaterThan(0);
    expect(seen.told).toBeGreaterThan(5);
  });
});

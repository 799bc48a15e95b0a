/**
 * What one stage of a batch gets in a zone while one thing is asked: over all its days, and
 * for each run of days that are alike.
 *
 * Always holds: plain numbers, strings, arrays and objects only; degrees, lux, hours; a
 * zone's figure is its worst bag's on its worst day.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import type { LightField } from '../light/field.ts';
import { LUX_PER_MICROMOLE, molesOf } from '../light/photons.ts';
import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { WANTS } from '../solve/score.ts';
import { type AtHeight, type Heights, worstHeights } from '../steer/heights.ts';
import type { Course, Treatment } from '../steer/treatment.ts';
import { type Bands, bandsOf, type Ends, type MayMiss } from './bands.ts';
import { faultsOf } from './fault.ts';
import { round, rounded } from './round.ts';
import { stageName } from './stage.ts';
import { type LampDeed, lampDeeds } from './why.ts';

/** What is given on some days: the worst of them. */
interface Given {
  readonly from: string;
  readonly days: number;
  /** Level on the strongest side, lx: least point, mean of the dimmest bag, of the brightest, greatest point. */
  readonly level: {
    readonly min: number;
    readonly mean: number;
    readonly brightest: number;
    readonly max: number;
  };
  /** Degrees between pull and side. */
  readonly off: number | undefined;
  /** Lit face over the opposite one. */
  readonly contrast: number | undefined;
  /** Greatest ratio of opposite faces. */
  readonly balance: number;
  readonly hoursPerDay: number;
  readonly luxHoursPerDay: number;
  readonly met: boolean;
}

/** One stage of one batch in one zone while one thing is asked. */
export interface StageReport extends Given {
  readonly stage: string;
  /** The side asked for in degrees, `upright`, or `dark` for what leaks in while nothing is asked. */
  readonly asks: number | 'upright' | 'dark';
  readonly vectorScalar: number;
  /** Degrees above the level from which the light comes where it is steepest. */
  readonly elevation: number;
  /** Level (lx) and elevation (degrees) in the lowest fifth of the headspace, its middle and its top, worst bag. */
  readonly heights: Heights;
  readonly molPerDay: number;
  /** Horizontal pull toward the light: x, y, lx. */
  readonly pull: readonly [number, number];
  /** Where better levels could not be ruled out: the first want they could meet better, and by how many of its steps. */
  readonly unproven: { readonly want: string; readonly by: number } | undefined;
  /** Under coloured lamps: the mean level of the brightest bag by the eye, lx; the other levels are lux of white light that bends alike. */
  readonly byEye: number | undefined;
  /** The ranges of the figures for what is not known exactly: lamps' labels, film, density; undefined in the dark. */
  readonly ranges: Omit<Bands, 'mayMiss'> | undefined;
  /** What is met by the figures and may be missed within their ranges. */
  readonly mayMiss: readonly MayMiss[];
  /** What the ranges are held to: the band asked for, lx, and the least contrast; undefined in the dark. */
  readonly wanted: { readonly level: Ends; readonly contrast: number } | undefined;
  /** What each of the zone's lamps does meanwhile, and why the others are off. */
  readonly lamps: readonly LampDeed[];
  /** Each bag's own figures. */
  readonly bags: readonly BagReport[];
  /** The same for each run of days, one after the other, that are alike: the weeks of a swing by themselves. */
  readonly runs: readonly Given[];
}

/** One bag: mean level, lx; degrees off and contrast for a lean; greatest ratio of opposite sides; whether it is reached. */
interface BagReport {
  readonly bag: string;
  readonly reached: boolean;
  readonly level: number;
  readonly off: number | undefined;
  readonly contrast: number | undefined;
  readonly balance: number;
}

/** What happens on each of some days while one thing is asked. */
type Days = ReadonlyMap<CivilDay, readonly Treatment[]>;

const asksOf = ({ ask }: Treatment): StageReport['asks'] =>
  ask.kind === 'dark' ? 'dark' : (ask.side?.azimuth ?? 'upright');

/** The days of each stage and ask, in the order in which they first come. */
function groupsOf(treatments: readonly Treatment[], course: Course): Days[] {
  const groups = new Map<string, Map<CivilDay, Treatment[]>>();
  for (const step of course.steps) {
    const treatment = itemAt(treatments, step.treatment);
    const key = `${treatment.stage} ${asksOf(treatment)}`;
    const group = groups.get(key) ?? new Map<CivilDay, Treatment[]>();
    groups.set(key, group);
    group.set(step.day, [...(group.get(step.day) ?? []), treatment]);
  }
  return [...groups.values()];
}

/** Runs of days that follow each other and are alike. */
function runsOf(days: Days): Days[] {
  const runs: Map<CivilDay, readonly Treatment[]>[] = [];
  let last: { readonly day: CivilDay; readonly all: readonly Treatment[] } | undefined;
  for (const [day, all] of [...days].sort(([a], [b]) => a - b)) {
    const alike =
      last?.day === day - 1 && last.all.length === all.length && all.every((one, n) => one === last?.all[n]);
    if (alike) sure(runs.at(-1)).set(day, all);
    else runs.push(new Map([[day, all]]));
    last = { day, all };
  }
  return runs;
}

const most = (values: readonly (number | undefined)[]): number | undefined =>
  values.reduce(
    (top, value) => (value === undefined || (top !== undefined && top >= value) ? top : value),
    undefined,
  );
const least = (values: readonly (number | undefined)[]): number | undefined => {
  const found = most(values.map((value) => (value === undefined ? undefined : -value)));
  return found === undefined ? undefined : -found;
};

const distinct = (days: Days): Treatment[] => [...new Set([...days.values()].flat())];

function givenOn(days: Days): Given {
  const all = distinct(days);
  const figures = all.map((treatment) => treatment.figures);
  const sum = (measure: (one: Treatment) => number): number =>
    [...days.values()].flat().reduce((total, one) => total + measure(one), 0);
  return {
    from: isoDate(Math.min(...days.keys()) as CivilDay),
    days: days.size,
    level: {
      min: round(Math.min(...figures.map(({ level }) => level.min)), 1),
      mean: round(Math.min(...figures.map(({ level }) => level.low)), 1),
      brightest: round(Math.max(...figures.map(({ level }) => level.high)), 1),
      max: round(Math.max(...figures.map(({ level }) => level.max)), 1),
    },
    off: rounded(most(figures.map(({ direction }) => direction)), 2),
    contrast: rounded(least(figures.map(({ contrast }) => contrast)), 2),
    balance: round(Math.max(...figures.map(({ imbalance }) => imbalance)), 2),
    hoursPerDay: round(sum((one) => one.figures.litMinutes) / 60 / days.size, 2),
    luxHoursPerDay: round(sum((one) => one.figures.luxMinutes) / 60 / days.size, 0),
    met: all.every((treatment) => faultsOf(treatment).length === 0),
  };
}

function stageReport(
  plan: ResolvedPlan,
  field: LightField,
  days: Days,
  luxPerMicromole: number,
): StageReport {
  const all = distinct(days);
  const first = itemAt(all, 0);
  const main = all.reduce((top, one) => (one.count * one.minutes > top.count * top.minutes ? one : top));
  const given = givenOn(days);
  return {
    stage: stageName(plan, first),
    ...given,
    asks: asksOf(first),
    vectorScalar: round(main.figures.vectorScalar, 2),
    elevation: round(main.figures.elevation, 1),
    heights: roundedHeights(worstHeights(all.map(({ figures }) => figures.heights))),
    molPerDay: round(molesOf(given.luxHoursPerDay, luxPerMicromole), 3),
    pull: [round(main.figures.pull[0], 1), round(main.figures.pull[1], 1)],
    unproven: unprovenOf(all),
    byEye: byEyeOf(all),
    ...rangesOf(plan, all),
    wanted: wantedOf(first),
    lamps: lampDeeds(plan, field, main, [...days.values()]),
    bags: bagReports(main),
    runs: runsOf(days).map(givenOn),
  };
}

/** The level by the eye, where coloured lamps make it another one than bends. */
function byEyeOf(all: readonly Treatment[]): number | undefined {
  const [eye, bending] = [
    Math.max(...all.map(({ figures }) => figures.brightestByEye)),
    Math.max(...all.map(({ figures }) => figures.level.high)),
  ];
  return Math.round(eye) === Math.round(bending) ? undefined : round(eye, 1);
}

/** The ranges of all treatments together. */
function rangesOf(plan: ResolvedPlan, all: readonly Treatment[]): Pick<StageReport, 'ranges' | 'mayMiss'> {
  const bands = all.flatMap((one) => bandsOf(plan, one) ?? []);
  if (bands.length === 0) return { ranges: undefined, mayMiss: [] };
  const gather = (pick: (one: Bands) => Ends | undefined, digits: number): Ends | undefined => {
    const ends = bands.flatMap((one) => [...(pick(one) ?? [])]);
    return ends.length === 0
      ? undefined
      : [round(Math.min(...ends), digits), round(Math.max(...ends), digits)];
  };
  return {
    ranges: {
      level: sure(gather(({ level }) => level, 1)),
      off: gather(({ off }) => off, 2),
      contrast: gather(({ contrast }) => contrast, 2),
      balance: sure(gather(({ balance }) => balance, 2)),
    },
    mayMiss: [...new Set(bands.flatMap(({ mayMiss }) => mayMiss))],
  };
}

const wantedOf = ({ ask }: Treatment): StageReport['wanted'] =>
  ask.kind === 'dark' ? undefined : { level: [ask.low / 100, ask.high / 100], contrast: ask.contrast / 100 };

/** What is not settled in the most important want, there the most of it. */
function unprovenOf(all: readonly Treatment[]): StageReport['unproven'] {
  const gaps = all.flatMap(({ gap }) => gap ?? []);
  const [first] = gaps.sort((a, b) => a.part - b.part || b.by - a.by);
  return first && { want: itemAt(WANTS, first.part), by: round(first.by, 0) };
}

function bagReports({ zoneField, figures }: Treatment): BagReport[] {
  return figures.bags.map((bag, n) => ({
    bag: itemAt(zoneField.places, n),
    reached: bag.reached,
    level: round(bag.mean, 1),
    off: rounded(bag.direction, 2),
    contrast: rounded(bag.contrast, 2),
    balance: round(bag.imbalance, 2),
  }));
}

/** The names of the stages a batch spends in a zone without light. */
export function darkStages(plan: ResolvedPlan, { zone, batch }: Course): string[] {
  const stages = stayIn(plan, batch, zone)?.stages ?? [];
  return stages.filter(({ light }) => light === undefined).map(({ name }) => name);
}

/** The stages of a batch in a zone. */
export function stageReports(
  plan: ResolvedPlan,
  field: LightField,
  treatments: readonly Treatment[],
  course: Course,
  luxPerMicromole: number = LUX_PER_MICROMOLE,
): StageReport[] {
  return groupsOf(treatments, course).map((days) => stageReport(plan, field, days, luxPerMicromole));
}

function roundedHeights({ lowest, middle, top }: Heights): Heights {
  const at = ({ level, elevation }: AtHeight): AtHeight => ({
    level: round(level, 1),
    elevation: rounded(elevation, 1),
  });
  return { lowest: at(lowest), middle: at(middle), top: at(top) };
}

/**
 * What the light cannot meet, zone by zone and stage by stage, with cause and remedy.
 *
 * Always holds: figures are those of the blocks that will burn; a remedy is offered only
 * after it was tried and only with the figures it gave; facts only, no sentences.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { causeOf } from '../advice/cause.ts';
import { type Fault, faultsOf, spoils, worseFault } from '../advice/fault.ts';
import { levelWay, likeFault, ONE_BY_ONE, steepWay } from '../advice/like-faults.ts';
import { remediesFor } from '../advice/remedies-for.ts';
import { type Remedy, tryRemedies } from '../advice/remedy.ts';
import { stageName, stageOf } from '../advice/stage.ts';
import type { Report } from '../findings/collector.ts';
import type { FactsOf, LightFacts, RemedyKind } from '../findings/facts.ts';
import type { Span } from '../findings/finding.ts';
import type { LightField } from '../light/field.ts';
import { headspaceShare } from '../light/headspace.ts';
import type { FieldOptions } from '../light/options.ts';
import type { ResolvedPlan, ResolvedZone } from '../plan/plan.ts';
import { ANGLE_MOST, CONTRAST_LEAST, contrastPossible, contrastWanted, leastLit } from '../solve/score.ts';
import type { Steered } from '../steer/choose.ts';
import { BALANCE_RATIO, DARK_LUX } from '../steer/pull.ts';
import type { Treatment } from '../steer/treatment.ts';
import type { DayDemands } from '../timeline/demand.ts';
import { noteCapRange } from './cap-range.ts';
import { noteHeights } from './heights.ts';
import { checkIdleLamps } from './idle-lamps.ts';
import { checkLampFiles } from './lamp-files.ts';

type LightCode =
  | 'light-lean'
  | 'light-uneven'
  | 'light-level'
  | 'light-in-dark'
  | 'light-unlit'
  | 'light-overhead';

/** A fault in facts, with the places to show. */
interface ToldFault<C extends LightCode> {
  readonly code: C;
  readonly facts: FactsOf[C];
  readonly span: Span;
  readonly second: Span;
  /** Zone, batch and stage: each is told once. */
  readonly identity: string;
}
type AnyToldFault = { readonly [C in LightCode]: ToldFault<C> }[LightCode];

/** Of so many faults each that has a line of its own has its remedies tried. */
const TRIED_MOST = 12;

interface CheckOptions extends FieldOptions {
  /** False: no remedies are tried, for callers that do not show them. */
  readonly advise?: boolean;
}

/** Everything about the light worth telling the grower. */
export function checkLight(
  plan: ResolvedPlan,
  field: LightField,
  days: readonly DayDemands[],
  steered: Steered,
  options: CheckOptions,
  report: Report,
): void {
  const worst = worstFaults(plan, steered.treatments);
  const byDay = new Map(days.map((day) => [day.day, day]));
  const known = new Map<string, number>();
  const tried = options.advise === false ? new Set() : worthTrying(plan, field, worst);
  const faults = worst.map((found) => {
    const all = tried.has(found) ? remediesFor(plan, field, found.treatment, found.fault) : [];
    const alike = likeness(found, all);
    // What helped (or did not) a zone in the same plight is what is tried here.
    const sets = known.has(alike) ? all.slice(known.get(alike), sure(known.get(alike)) + 1) : all;
    const best = bestRemedy(plan, options, byDay, found, sets);
    if (!known.has(alike)) known.set(alike, best === undefined ? all.length : all.indexOf(best.remedies));
    return toldFault(plan, field, found, best, [...new Set(all.flat().map(({ kind }) => kind))]);
  });
  checkLampFiles(plan, options, report);
  checkBags(plan, report);
  checkIdleLamps(plan, field, steered, report);
  for (const one of oncePerBackground(faults)) tell(one, report);
  noteHeights(plan, steered.treatments, report);
  noteCapRange(plan, steered.treatments, report);
}

function tell<C extends LightCode>(
  { code, span, facts, second, identity }: ToldFault<C>,
  report: Report,
): void {
  report(code, span, facts, second, identity);
}

type ToldLeak = ToldFault<'light-in-dark'>;

/** Background light in the dark is said once for all zones and stages it reaches. */
function oncePerBackground(faults: readonly AnyToldFault[]): AnyToldFault[] {
  const kept: AnyToldFault[] = [];
  const leaks = new Map<string, { at: number; leak: ToldLeak }>();
  for (const fault of faults) {
    if (fault.code !== 'light-in-dark' || fault.facts.cause !== 'background') {
      kept.push(fault);
      continue;
    }
    const by = String(fault.facts.by);
    const known = leaks.get(by) ?? { at: kept.length, leak: fault };
    const { facts } = known.leak;
    const zones = [...new Set([...(facts.zones ?? []), fault.facts.zone])];
    const leak = { ...known.leak, facts: { ...facts, zones, leak: Math.max(facts.leak, fault.facts.leak) } };
    leaks.set(by, { at: known.at, leak });
    kept[known.at] = leak;
  }
  return kept;
}

/**
 * The faults whose remedies are tried: the first of those that are told together, and of the first few
 * in the plan also those that have a line of their own.
 */
function worthTrying(plan: ResolvedPlan, field: LightField, worst: readonly Found[]): Set<Found> {
  const groups = new Map<string, Found[]>();
  for (const found of worst) {
    const { treatment, fault } = found;
    const { cause } = causeOf(plan, field, treatment, fault);
    const { batch, zone } = treatment;
    const key = likeFault(plan, { kind: fault.kind, cause, way: wayOf(found), batch, zone });
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [found]);
    else group.push(found);
  }
  const all = [...groups.values()];
  const told = new Set(all.flatMap((group) => (group.length > ONE_BY_ONE + 1 ? [] : group)));
  const others = worst.slice(0, TRIED_MOST).filter((found) => told.has(found));
  return new Set([...all.flatMap(([first]) => first ?? []), ...others]);
}

/** Which way a fault lies, where there are several. */
function wayOf({ treatment, fault }: Found): string | undefined {
  if (fault.kind === 'level') return levelWay(levelFacts(treatment));
  return fault.kind === 'steep' ? steepWay(Math.round(treatment.figures.elevation)) : undefined;
}

/** The same for zones whose fault is the same to a few hundredths and may be helped in the same ways. */
function likeness({ treatment, fault }: Found, sets: readonly (readonly Remedy[])[]): string {
  const { figures } = treatment;
  const size = fault.by.map((by) => Math.round(by * 2)).join();
  const kinds = sets.map((set) => set.map(({ kind }) => kind).join('+')).join();
  return `${fault.kind} ${size} ${Math.round(figures.level.low / 20)} ${kinds}`;
}

/** The worst fault of each kind for each zone and stage of a batch, and on how many days there is one. */
interface Found {
  readonly treatment: Treatment;
  readonly fault: Fault;
  readonly days: number;
}

function worstFaults(plan: ResolvedPlan, treatments: readonly Treatment[]): Found[] {
  const found = new Map<string, Found>();
  for (const treatment of treatments) {
    for (const fault of faultsOf(treatment)) {
      const key = `${treatment.zone} ${treatment.batch} ${treatment.stage} ${fault.kind}`;
      const known = found.get(key);
      const days = (known?.days ?? 0) + treatment.count;
      const worse = known === undefined || worseFault(fault, known.fault);
      found.set(key, worse ? { treatment, fault, days } : { ...known, days });
    }
  }
  const most = (one: Found): number => stageOf(plan, one.treatment)?.days ?? one.days;
  return [...found.values()].map((one) => ({ ...one, days: Math.min(one.days, most(one)) }));
}

/** A set of remedies and the fault that is left with them. */
interface Tried {
  readonly remedies: readonly Remedy[];
  readonly left: Fault | undefined;
  /** What the zone gets then; undefined when nothing reaches it. */
  readonly after: Treatment | undefined;
}

/** The first set of remedies that clears the fault, else the one that leaves least of it; undefined when none helps. */
function bestRemedy(
  plan: ResolvedPlan,
  options: FieldOptions,
  days: ReadonlyMap<number, DayDemands>,
  { treatment, fault }: Found,
  sets: readonly (readonly Remedy[])[],
): Tried | undefined {
  const day = days.get(treatment.firstDay);
  if (day === undefined) return undefined;
  let best: Tried | undefined;
  for (const remedies of sets) {
    const after = tryRemedies(plan, options, remedies, day, treatment.zone);
    const tried = worstAfter(remedies, after, treatment, fault);
    if (tried === undefined || (tried.left && !worseFault(fault, tried.left))) continue;
    if (tried.left === undefined) return tried;
    if (best?.left === undefined || worseFault(best.left, tried.left)) best = tried;
  }
  return best;
}

/** The worst that is left of a kind of fault on the day tried. */
function worstAfter(
  remedies: readonly Remedy[],
  after: readonly Treatment[],
  before: Treatment,
  fault: Fault,
): Tried | undefined {
  let worst: Tried | undefined =
    fault.kind === 'dark' ? { remedies, left: undefined, after: undefined } : undefined;
  const same = after.filter(({ ask }) => (ask.kind === 'dark') === (fault.kind === 'dark'));
  if (same.some((one) => spoils(one, before, fault.kind))) return undefined;
  for (const treatment of same) {
    const left = faultsOf(treatment).find(({ kind }) => kind === fault.kind);
    if (worst === undefined || (left && (!worst.left || worseFault(left, worst.left)))) {
      worst = { remedies, left, after: treatment };
    }
  }
  return worst;
}

function toldFault(
  plan: ResolvedPlan,
  field: LightField,
  found: Found,
  best: Tried | undefined,
  tried: readonly RemedyKind[],
): AnyToldFault {
  const { treatment, fault, days } = found;
  const zone = itemAt(plan.zones, treatment.zone);
  const stage = stageOf(plan, treatment);
  const facts: LightFacts = {
    zone: zone.name,
    batch: itemAt(plan.batches, treatment.batch).name,
    stage: stageName(plan, treatment),
    days,
    from: isoDate(treatment.firstDay),
    bag: zone.places[fault.bag]?.name,
    ...causeOf(plan, field, treatment, fault),
    ...(best === undefined ? { tried } : remedyFacts(plan, best, fault)),
  };
  const place = {
    span: stage?.span ?? zone.span,
    second: zone.span,
    identity: `${zone.name} ${treatment.batch} ${treatment.stage}`,
  };
  return { ...place, ...withFigures(treatment, fault, facts, zone.places) };
}

const tenth = (value: number): number => Math.round(value * 10) / 10;
const hundredth = (value: number): number => Math.round(value * 100) / 100;

type Figured = { readonly [C in LightCode]: Pick<ToldFault<C>, 'code' | 'facts'> }[LightCode];

/** The level of a zone and its band, lx. */
function levelFacts({ figures, ask }: Treatment) {
  const wanted = ask.kind === 'lit' ? ask : undefined;
  return {
    level: Math.round(figures.level.low),
    brightest: Math.round(figures.level.high),
    low: (wanted?.low ?? 0) / 100,
    high: (wanted?.high ?? 0) / 100,
    ...(figures.brightestByEye === figures.level.high ? {} : { byEye: Math.round(figures.brightestByEye) }),
  };
}

/** The facts with the figures of the fault. */
function withFigures(
  treatment: Treatment,
  fault: Fault,
  facts: LightFacts,
  places: ResolvedZone['places'],
): Figured {
  const { figures, ask } = treatment;
  const wanted = ask.kind === 'lit' ? ask : undefined;
  const level = levelFacts(treatment);
  switch (fault.kind) {
    case 'lean':
      return {
        code: 'light-lean',
        facts: {
          ...facts,
          side: sure(wanted?.side).azimuth,
          off: tenth(figures.direction ?? 0),
          offAllowed: ANGLE_MOST / 100,
          contrast: hundredth(figures.contrast ?? 0),
          contrastWanted: (wanted?.contrast ?? CONTRAST_LEAST) / 100,
        },
      };
    case 'upright': {
      const ratio = hundredth(figures.imbalance);
      return { code: 'light-uneven', facts: { ...facts, ratio, ratioAllowed: BALANCE_RATIO } };
    }
    case 'level':
      return { code: 'light-level', facts: { ...facts, ...level } };
    case 'unlit':
      return { code: 'light-unlit', facts: { ...facts, ...level, ...missedFacts(places, figures, wanted) } };
    case 'dark': {
      const [leak, most] = [tenth(figures.level.high), tenth(figures.level.max)];
      return { code: 'light-in-dark', facts: { ...facts, leak, most, allowed: DARK_LUX } };
    }
    case 'steep':
      return { code: 'light-overhead', facts: { ...facts, elevation: Math.round(figures.elevation) } };
  }
}

/** The bags that are not reached, out of how many, and the most any of them gets. */
function missedFacts(
  places: ResolvedZone['places'],
  { missed, bags }: Treatment['figures'],
  wanted: (Treatment['ask'] & { kind: 'lit' }) | undefined,
) {
  const level = Math.max(0, ...missed.map((bag) => itemAt(bags, bag).mean));
  return {
    missed: missed.map((bag) => itemAt(places, bag).name),
    bags: places.length,
    missedLevel: Math.round(level),
    side: wanted?.side?.azimuth,
    astray: wanted !== undefined && level * 100 >= leastLit(wanted.low),
  };
}

/** What a remedy is and what it gave. */
function remedyFacts(
  plan: ResolvedPlan,
  { remedies, left, after }: Tried,
  fault: Fault,
): Partial<LightFacts> {
  const facts: Partial<LightFacts> = Object.assign(
    { cleared: left === undefined },
    ...remedies.map((remedy) => oneRemedy(plan, remedy)),
  );
  if (after === undefined) return { ...facts, leakAfter: 0 };
  const { figures } = after;
  if (fault.kind === 'lean') {
    return {
      ...facts,
      offAfter: tenth(figures.direction ?? 0),
      contrastAfter: hundredth(figures.contrast ?? 0),
    };
  }
  if (fault.kind === 'upright') return { ...facts, ratioAfter: hundredth(figures.imbalance) };
  if (fault.kind === 'dark') return { ...facts, leakAfter: tenth(figures.level.high) };
  return {
    ...facts,
    levelAfter: Math.round(figures.level.low),
    brightestAfter: Math.round(figures.level.high),
  };
}

function oneRemedy(plan: ResolvedPlan, remedy: Remedy): Partial<LightFacts> {
  const names = (lamps: readonly number[]): string[] => lamps.map((lamp) => itemAt(plan.lamps, lamp).name);
  switch (remedy.kind) {
    case 'screen':
      return {
        screenShelf: itemAt(plan.shelves, remedy.shelf).name,
        screenAxis: remedy.axis,
        screenAt: remedy.at,
      };
    case 'longer':
      return { longerLamps: names(remedy.lamps), longerTo: remedy.lengths };
    case 'flux':
      return { fluxLamps: names(remedy.lamps), fluxPercent: remedy.percent };
    case 'cover':
      return { coverShelf: itemAt(plan.shelves, remedy.shelf).name };
    case 'ends':
      return { emptyEnds: true };
  }
}

/** Films that forbid 5 : 1 and bags with little room to grow, each said once. */
function checkBags(plan: ResolvedPlan, report: Report): void {
  const used = new Set(plan.batches.map(({ bag }) => bag));
  for (const [index, bag] of plan.bags.entries()) {
    if (!used.has(index)) continue;
    const share = headspaceShare(bag);
    if (share < 1 / 3 && share > 0) {
      const height = Math.round(bag.height * share);
      report('bag-low-headspace', bag.span, { bag: bag.name, height, percent: Math.round(100 * share) });
    }
    const { passes, scatters } = bag.film;
    const possible = contrastPossible(bag.film);
    if (possible > CONTRAST_LEAST) continue;
    const wanted = contrastWanted(bag.film) / 100;
    report('light-film', bag.span, { bag: bag.name, passes, scatters, possible: possible / 100, wanted });
  }
}

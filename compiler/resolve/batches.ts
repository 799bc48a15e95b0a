/**
 * Batches: which bags stand where, from which day to which, in which stage.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { type CivilDay, civilDay, type Degrees } from '../../shared/units.ts';
import type {
  BatchZone,
  ResolvedBag,
  ResolvedBatch,
  ResolvedStage,
  ResolvedVisitRules,
  ResolvedZone,
} from '../plan/plan.ts';
import { KEEP_DAYS_MAX } from './builtin.ts';
import type { Context, NamedEntry } from './context.ts';
import { leanInZone } from './lean.ts';
import type { Regimes, StageDraft } from './regimes.ts';

/** A batch's zones and bag, known before lamps are placed. */
export interface BatchDraft {
  readonly entry: NamedEntry;
  /** Indices into the plan's zones. */
  readonly zones: readonly number[];
  /** Index into the plan's bags. */
  readonly bag: number | undefined;
}

/** Reads which zones and which bag each batch has. */
export function draftBatches(context: Context): readonly BatchDraft[] {
  const entries = context.section('batches');
  return entries.map((entry) => ({
    entry,
    zones: batchZones(context, entry, entries.length),
    bag: chosenBag(context, entry),
  }));
}

function batchZones(
  context: Context,
  { name, map, keySpan }: NamedEntry,
  batches: number,
): readonly number[] {
  if (!context.has(map, 'zones')) {
    if (batches === 1) return context.names('zones').map((_, index) => index);
    const facts = { key: 'zones', where: `batches.${name}`, example: '[A]' };
    if (map.entries.size > 0) context.report('key-missing', keySpan, facts);
    return [];
  }
  const found: number[] = [];
  for (const node of context.list(map, 'zones') ?? []) {
    const index = context.index('zones', node);
    if (index === undefined || !node) continue;
    if (found.includes(index))
      context.report('name-twice', node.span, { kind: 'zone', name: context.source(node) });
    else found.push(index);
  }
  return found;
}

function chosenBag(context: Context, { name, map, keySpan }: NamedEntry): number | undefined {
  if (context.has(map, 'bag')) return context.index('bags', context.node(map, 'bag'));
  const known = context.names('bags');
  if (known.length === 1) return 0;
  if (known.length > 1 && map.entries.size > 0) {
    context.report('name-which', keySpan, { entry: `batches.${name}`, key: 'bag', known: [...known] });
  }
  return undefined;
}

/** What the batches are worked out with. */
export interface BatchSurroundings {
  readonly regimes: Regimes;
  readonly zones: readonly (ResolvedZone | undefined)[];
  readonly bags: readonly (ResolvedBag | undefined)[];
  readonly lampSides: (zone: number) => readonly Degrees[];
  /** No lamp has a fault of its own, so that the sides are all there are. */
  readonly areLampsKnown: boolean;
  readonly harvest: ResolvedVisitRules['harvest'];
}

/** The finished batches, in plan order; undefined where something needed is missing. */
export function resolveBatches(
  context: Context,
  drafts: readonly BatchDraft[],
  around: BatchSurroundings,
): readonly (ResolvedBatch | undefined)[] {
  return drafts.map((draft) => resolveBatch(context, draft, around));
}

function resolveBatch(
  context: Context,
  { entry, zones, bag }: BatchDraft,
  around: BatchSurroundings,
): ResolvedBatch | undefined {
  const { name, map, keySpan } = entry;
  const sealed = context.date(map, 'sealed');
  const courses = sealed === undefined ? undefined : coursesOf(context, entry, zones, sealed, around);
  checkZonesOf(context, entry, zones);
  if (sealed === undefined || !courses) return undefined;
  const resolvedZones = zones.flatMap((zone) => {
    const course = courses.get(zone);
    return course ? (batchZone(context, course, zone, bag, around) ?? []) : [];
  });
  if (bag === undefined) return undefined;
  const movedTo = zones.filter((zone) => entersOn(context, entry, zone) !== undefined);
  return {
    name,
    sealed,
    zones: resolvedZones.map((stay) => ({
      ...stay,
      isMovedTo: movedTo.length < zones.length && movedTo.includes(stay.zone),
    })),
    home: movedTo.length < zones.length ? zones.filter((zone) => !movedTo.includes(zone)) : zones,
    bag,
    strain: context.text(map, 'strain'),
    spawn: context.text(map, 'spawn'),
    lot: context.text(map, 'lot'),
    note: context.text(map, 'note'),
    span: keySpan,
  };
}

/** The course of the batch in each of its zones; undefined where some regime cannot be told or read. */
function coursesOf(
  context: Context,
  entry: NamedEntry,
  zones: readonly number[],
  sealed: CivilDay,
  { regimes, harvest }: BatchSurroundings,
): ReadonlyMap<number, Course> | undefined {
  const chosen = new Map(zones.map((zone) => [zone, chosenRegime(context, entry, regimes, zone)]));
  if (zones.length === 0) chosenRegime(context, entry, regimes, undefined);
  const courses = new Map<string, Course>();
  for (const regime of new Set(chosen.values())) {
    const stages = regime === undefined ? undefined : regimes.stages(regime);
    if (regime === undefined || !stages) return undefined;
    courses.set(regime, new Course(context, entry, sealed, { regime, stages, harvest }));
  }
  checkBegan(context, entry, [...courses.values()]);
  return new Map(
    [...chosen].flatMap(([zone, regime = '']) => {
      const course = courses.get(regime);
      return course ? [[zone, course] as const] : [];
    }),
  );
}

/** Reports stages under `began` that none of the batch's regimes has. */
function checkBegan(context: Context, { map }: NamedEntry, courses: readonly Course[]): void {
  const known = [...new Set(courses.flatMap((course) => course.names))];
  for (const { name, keySpan } of context.namedEntries(context.map(map, 'began'))) {
    if (!known.includes(name)) context.unknown('stages', name, keySpan, known);
  }
}

/** Reports zones that the batch does not have, where something is written zone by zone. */
function checkZonesOf(context: Context, { map }: NamedEntry, zones: readonly number[]): void {
  const names = context.names('zones');
  const known = zones.map((index) => itemAt(names, index));
  for (const key of ['regime', 'enters', 'ended'] as const) {
    for (const { name, keySpan } of context.namedEntries(context.map(map, key))) {
      if (!known.includes(name)) context.unknown('zones', name, keySpan, known);
    }
  }
}

/** The day on which bags were moved to a zone of the batch; undefined where none is written. */
function entersOn(context: Context, { map }: NamedEntry, zone: number): CivilDay | undefined {
  const each = context.map(map, 'enters');
  return each && context.date(each, itemAt(context.names('zones'), zone));
}

function chosenRegime(
  context: Context,
  { name, map, keySpan }: NamedEntry,
  regimes: Regimes,
  zone: number | undefined,
): string | undefined {
  const each = context.map(map, 'regime');
  const [from, key] = each ? [each, context.names('zones')[zone ?? -1] ?? ''] : [map, 'regime'];
  if (context.has(from, key)) {
    const written = context.text(from, key);
    if (written === undefined || regimes.names.includes(written)) return written;
    context.unknown('regimes', written, context.spanOf(from, key), regimes.names);
    return undefined;
  }
  if (regimes.usual !== undefined) return regimes.usual;
  const entry = `batches.${name}`;
  context.report('name-which', keySpan, { entry, key: 'regime', known: [...regimes.names] });
  return undefined;
}

function batchZone(
  context: Context,
  course: Course,
  zoneIndex: number,
  bagIndex: number | undefined,
  around: BatchSurroundings,
): BatchZone | undefined {
  const zone = around.zones[zoneIndex];
  const bag = bagIndex === undefined ? undefined : around.bags[bagIndex];
  const name = itemAt(context.names('zones'), zoneIndex);
  const span = course.inZone(name, entersOn(context, course.entry, zoneIndex));
  if (!span || !zone) return undefined;
  const lampSides = around.lampSides(zoneIndex);
  const { areLampsKnown } = around;
  const stages = span.stages.map(({ draft, from, days, label, regular }): ResolvedStage => {
    const place = { zone: name, lampSides, areLampsKnown, bag, stage: draft.name, days, span: course.span };
    return {
      name: label,
      from: civilDay(from),
      ...{ days, regular },
      light: draft.light,
      level: draft.level,
      lean: leanInZone(context, draft.lean, place),
      lift: draft.lift,
      look: draft.look,
      keep: draft.keep,
      span: draft.span ?? course.span,
    };
  });
  const { isEnded } = span;
  const [enters, free] = [civilDay(span.enters), civilDay(span.free)];
  return { zone: zoneIndex, regime: course.regime, enters, free, isEnded, isMovedTo: false, stages };
}

interface Stay {
  readonly enters: number;
  readonly free: number;
  readonly isEnded: boolean;
  readonly stages: readonly {
    draft: StageDraft;
    label: string;
    from: number;
    days: number;
    regular: ResolvedStage['regular'];
  }[];
}

interface Going {
  readonly regime: string;
  readonly stages: readonly StageDraft[];
  readonly harvest: ResolvedVisitRules['harvest'];
}

/** The days of one regime's stages for one batch, with what was observed taken in. */
class Course {
  readonly entry: NamedEntry;
  readonly regime: string;
  private readonly context: Context;
  private readonly sealed: CivilDay;
  private readonly stages: readonly StageDraft[];
  private readonly harvest: ResolvedVisitRules['harvest'];
  /** First day of each stage, and after the last the day it is over. */
  private readonly starts: readonly number[];

  constructor(context: Context, entry: NamedEntry, sealed: CivilDay, { regime, stages, harvest }: Going) {
    this.context = context;
    this.entry = entry;
    this.regime = regime;
    this.sealed = sealed;
    this.stages = stages;
    this.harvest = harvest;
    this.starts = this.stageStarts();
  }

  get names(): readonly string[] {
    return this.stages.map((stage) => stage.name);
  }

  get span() {
    return this.entry.keySpan;
  }

  private stageStarts(): number[] {
    const began = this.context.map(this.entry.map, 'began');
    const starts: number[] = [];
    let next: number = this.sealed;
    for (const stage of this.stages) {
      const observed = this.context.date(began, stage.name);
      const before = starts.at(-1);
      const possible =
        before === undefined ? observed === this.sealed : observed !== undefined && observed > before;
      if (observed !== undefined && began && !possible) {
        const facts = {
          stage: stage.name,
          date: isoDate(observed),
          after: isoDate(civilDay(before ?? this.sealed)),
          first: before === undefined,
        };
        this.context.report('stage-too-early', this.context.spanOf(began, stage.name), facts);
      }
      const start = observed !== undefined && possible ? observed : next;
      starts.push(start);
      next = start + stage.days;
    }
    return [...starts, next];
  }

  /** The stage with which the bags come into a zone. */
  private enteringStage(zone: string): number {
    const each = this.context.map(this.entry.map, 'enters');
    const [map, key] = each ? [each, zone] : [this.entry.map, 'enters'];
    const name = this.context.text(map, key);
    if (name === undefined) return 0;
    const known = this.names;
    const index = known.indexOf(name);
    if (index < 0) this.context.unknown('stages', name, this.context.spanOf(map, key), known);
    return Math.max(index, 0);
  }

  /** The day the batch was ended in a zone, if it was. */
  private ended(zone: string): number | undefined {
    const { map } = this.entry;
    const each = this.context.map(map, 'ended');
    const day = each ? this.context.date(each, zone) : this.context.date(map, 'ended');
    if (day === undefined || day > this.sealed) return day;
    const span = each ? this.context.spanOf(each, zone) : this.context.spanOf(map, 'ended');
    this.context.report(
      'batch-ended-early',
      span,
      { ended: isoDate(day), sealed: isoDate(this.sealed) },
      this.context.spanOf(map, 'sealed'),
    );
    return undefined;
  }

  /**
   * The stay in one zone, to which bags were perhaps moved on a day; undefined when the batch ended before it came there.
   */
  inZone(zone: string, movedOn: CivilDay | undefined): Stay | undefined {
    const ended = this.ended(zone);
    const over = this.starts.at(-1) ?? this.sealed;
    const kept = this.keepsUntil(over, ended);
    const free = ended ?? this.lastDay(kept ?? over);
    const first = movedOn === undefined ? this.enteringStage(zone) : 0;
    const enters = movedOn ?? this.starts[first] ?? this.sealed;
    if (movedOn !== undefined && movedOn < this.sealed) this.reportTooEarly(zone, movedOn);
    if (free <= enters) return undefined;
    if (ended === undefined) this.checkHarvest(free);
    let due = 0;
    const all = this.stages.map((draft, i) => {
      const from = itemAt(this.starts, i);
      const regular = { begins: due, days: draft.days };
      due += draft.days;
      return { draft, label: draft.name, from, until: this.starts[i + 1] ?? from, regular };
    });
    const lastLit = this.stages.findLast((stage) => stage.light);
    if (kept !== undefined && lastLit && kept > over)
      all.push({
        ...{ draft: lastLit, label: 'keep', from: over, until: kept },
        regular: { begins: due, days: kept - over },
      });
    const stages = all
      .slice(first)
      .filter(({ from, until }) => from < free && until > enters)
      .map(({ until, ...rest }) => ({ ...rest, days: Math.min(until, free) - rest.from }));
    return { enters, free, isEnded: ended !== undefined, stages };
  }

  private reportTooEarly(zone: string, day: CivilDay): void {
    const each = this.context.map(this.entry.map, 'enters');
    const span = this.context.spanOf(sure(each), zone);
    const facts = { zone, entered: isoDate(day), sealed: isoDate(this.sealed) };
    this.context.report('batch-moved-early', span, facts, this.context.spanOf(this.entry.map, 'sealed'));
  }

  /** Stages that are over before the harvest opens are more likely a stage forgotten than a plan. */
  private checkHarvest(free: number): void {
    if (!this.harvest || this.sealed + this.harvest.from < free) return;
    this.context.report('batch-over-early', this.entry.keySpan, {
      batch: this.entry.name,
      over: isoDate(civilDay(free)),
      opens: isoDate(civilDay(this.sealed + this.harvest.from)),
      days: free - this.sealed,
      stages: this.stages.map(({ name }) => name),
    });
  }

  private keepsUntil(over: number, ended: number | undefined): number | undefined {
    if (this.context.text(this.entry.map, 'then') !== 'keep') return undefined;
    const most = over + KEEP_DAYS_MAX;
    if (ended !== undefined && ended > most) {
      const facts = { days: KEEP_DAYS_MAX, dark: isoDate(civilDay(most)), ended: isoDate(civilDay(ended)) };
      this.context.report('batch-kept', this.context.keySpan(this.entry.map, 'then'), facts);
    }
    return Math.min(ended ?? most, most);
  }

  /** Bags stay until the harvest is over, where it opens before the last stage ends. */
  private lastDay(over: number): number {
    if (!this.harvest || this.sealed + this.harvest.from >= over) return over;
    return Math.max(over, this.sealed + this.harvest.until);
  }
}

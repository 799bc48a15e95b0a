/**
 * Batches: which bags stand where, from which day to which, in which stage.
 */

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
  const regime = chosenRegime(context, entry, around.regimes);
  const stages = regime === undefined ? undefined : around.regimes.stages(regime);
  if (sealed === undefined || regime === undefined || !stages) return undefined;
  const course = new Course(context, entry, sealed, stages, around.harvest);
  const resolvedZones = zones.flatMap((zone) => batchZone(context, course, zone, bag, around) ?? []);
  course.checkEndedZones(zones);
  if (bag === undefined) return undefined;
  return {
    name,
    sealed,
    zones: resolvedZones,
    bag,
    regime,
    strain: context.text(map, 'strain'),
    spawn: context.text(map, 'spawn'),
    lot: context.text(map, 'lot'),
    note: context.text(map, 'note'),
    span: keySpan,
  };
}

function chosenRegime(
  context: Context,
  { name, map, keySpan }: NamedEntry,
  regimes: Regimes,
): string | undefined {
  const written = context.text(map, 'regime');
  if (context.has(map, 'regime')) {
    if (written === undefined || regimes.names.includes(written)) return written;
    context.unknown('regimes', written, context.spanOf(map, 'regime'), regimes.names);
    return undefined;
  }
  if (regimes.usual !== undefined) return regimes.usual;
  context.report('name-which', keySpan, {
    entry: `batches.${name}`,
    key: 'regime',
    known: [...regimes.names],
  });
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
  const name = context.names('zones')[zoneIndex] ?? '';
  const span = course.inZone(name);
  if (!span || !zone) return undefined;
  const lampSides = around.lampSides(zoneIndex);
  const stages = span.stages.map(({ draft, from, days, label }): ResolvedStage => {
    const place = { zone: name, lampSides, bag, stage: draft.name, days, span: course.span };
    return {
      name: label,
      from: civilDay(from),
      days,
      light: draft.light,
      level: draft.level,
      lean: leanInZone(context, draft.lean, place),
      lift: draft.lift,
      look: draft.look,
      span: draft.span ?? course.span,
    };
  });
  const { isEnded } = span;
  return { zone: zoneIndex, enters: civilDay(span.enters), free: civilDay(span.free), isEnded, stages };
}

interface Stay {
  readonly enters: number;
  readonly free: number;
  readonly isEnded: boolean;
  readonly stages: readonly { draft: StageDraft; label: string; from: number; days: number }[];
}

/** The days of one batch's stages, with what was observed taken in. */
class Course {
  private readonly context: Context;
  private readonly entry: NamedEntry;
  private readonly sealed: CivilDay;
  private readonly stages: readonly StageDraft[];
  private readonly harvest: ResolvedVisitRules['harvest'];
  /** First day of each stage, and after the last the day it is over. */
  private readonly starts: readonly number[];
  private readonly first: number;

  constructor(
    context: Context,
    entry: NamedEntry,
    sealed: CivilDay,
    stages: readonly StageDraft[],
    harvest: ResolvedVisitRules['harvest'],
  ) {
    this.context = context;
    this.entry = entry;
    this.sealed = sealed;
    this.stages = stages;
    this.harvest = harvest;
    this.starts = this.stageStarts();
    this.first = this.enteringStage();
  }

  get span() {
    return this.entry.keySpan;
  }

  private stageStarts(): number[] {
    const began = this.context.map(this.entry.map, 'began');
    const known = this.stages.map((stage) => stage.name);
    for (const { name, keySpan } of this.context.namedEntries(began)) {
      if (!known.includes(name)) this.context.unknown('stages', name, keySpan, known);
    }
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

  private enteringStage(): number {
    const name = this.context.text(this.entry.map, 'enters');
    if (name === undefined) return 0;
    const known = this.stages.map((stage) => stage.name);
    const index = known.indexOf(name);
    if (index < 0) this.context.unknown('stages', name, this.context.spanOf(this.entry.map, 'enters'), known);
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

  /** Reports zones named under `ended` that the batch does not have. */
  checkEndedZones(zones: readonly number[]): void {
    const names = this.context.names('zones');
    const known = zones.map((index) => names[index] ?? '');
    for (const { name, keySpan } of this.context.namedEntries(this.context.map(this.entry.map, 'ended'))) {
      if (!known.includes(name)) this.context.unknown('zones', name, keySpan, known);
    }
  }

  /** The stay in one zone; undefined when the batch ended before it came there. */
  inZone(zone: string): Stay | undefined {
    const ended = this.ended(zone);
    const over = this.starts.at(-1) ?? this.sealed;
    const kept = this.keepsUntil(over, ended);
    const free = ended ?? this.lastDay(kept ?? over);
    const enters = this.starts[this.first] ?? this.sealed;
    if (free <= enters) return undefined;
    if (ended === undefined) this.checkHarvest(free);
    const all = this.stages.map((draft, i) => {
      const from = this.starts[i] ?? 0;
      return { draft, label: draft.name, from, until: this.starts[i + 1] ?? from };
    });
    const lastLit = this.stages.findLast((stage) => stage.light);
    if (kept !== undefined && lastLit && kept > over)
      all.push({ draft: lastLit, label: 'keep', from: over, until: kept });
    const stages = all
      .slice(this.first)
      .filter(({ from }) => from < free)
      .map(({ draft, label, from, until }) => ({ draft, label, from, days: Math.min(until, free) - from }));
    return { enters, free, isEnded: ended !== undefined, stages };
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

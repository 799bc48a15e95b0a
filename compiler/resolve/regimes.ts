/**
 * Regimes: the stages of one crop as written, the built-in ones filled in.
 */

import { type Lux, lux, type Minutes, minutes } from '../../shared/units.ts';
import type { Span } from '../findings/finding.ts';
import type { ResolvedPlan, ResolvedStage, TemperatureBand, VisitRule } from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { ANTLER, type BuiltinStage, type Default, LEVEL_BAND, START } from './builtin.ts';
import type { Context } from './context.ts';
import { type LeanDraft, readLean, swayAlone } from './lean.ts';
import { resolveStageKeep } from './room.ts';
import type { VisitHours } from './visits.ts';

/** A stage before it has a first day and a zone. */
export interface StageDraft {
  readonly name: string;
  readonly days: number;
  readonly light: ResolvedStage['light'];
  readonly level: readonly [Lux, Lux] | undefined;
  readonly lean: LeanDraft;
  readonly lift: VisitRule | undefined;
  readonly look: VisitRule | undefined;
  readonly keep: TemperatureBand | undefined;
  /** Undefined for a stage of the built-in regime. */
  readonly span: Span | undefined;
}

/** Name of the regime that is built in. */
const BUILTIN_REGIME = 'antler';

/** The regimes by name. One that cannot be read is there with undefined, so that its name is known. */
export class Regimes {
  private readonly written = new Map<string, readonly StageDraft[] | undefined>();
  private readonly context: Context;
  private readonly hours: VisitHours;
  private readonly room: ResolvedPlan['room'];

  constructor(context: Context, hours: VisitHours, room: ResolvedPlan['room']) {
    this.context = context;
    this.hours = hours;
    this.room = room;
    const section = context.map(context.root, 'regimes');
    for (const name of context.names('regimes')) {
      this.written.set(name, this.readStages(name, context.node(section, name)));
    }
  }

  get names(): readonly string[] {
    return [...new Set([...this.written.keys(), BUILTIN_REGIME])];
  }

  /** The regime a batch has when it names none; undefined when it must choose. */
  get usual(): string | undefined {
    if (this.written.has(BUILTIN_REGIME) || this.written.size === 0) return BUILTIN_REGIME;
    return this.written.size === 1 ? [...this.written.keys()][0] : undefined;
  }

  /** The stages of a regime; undefined when it cannot be read. */
  stages(name: string): readonly StageDraft[] | undefined {
    if (name === BUILTIN_REGIME && !this.written.has(name)) this.written.set(name, this.builtin());
    return this.written.get(name);
  }

  private builtin(): readonly StageDraft[] {
    return ANTLER.map((stage) =>
      new StageReader(this.context, this.hours, BUILTIN_REGIME, stage.name).builtin(stage),
    );
  }

  private readStages(regime: string, node: Node | undefined): readonly StageDraft[] | undefined {
    const items = this.context.items(node);
    if (!items) return undefined;
    const seen = new Map<string, Span>();
    const stages = items.map((item) => {
      const map = item?.kind === 'map' ? item : undefined;
      const name = this.context.text(map, 'stage');
      if (!map || name === undefined) return undefined;
      const span = this.context.spanOf(map, 'stage');
      const first = seen.get(name);
      if (first) this.context.report('name-twice', span, { kind: 'stage', name }, first);
      seen.set(name, span);
      return new StageReader(this.context, this.hours, regime, name).written(map, this.room);
    });
    const whole = stages.filter((stage) => stage !== undefined);
    return whole.length === stages.length ? whole : undefined;
  }
}

class StageReader {
  private readonly context: Context;
  private readonly hours: VisitHours;
  private readonly name: string;
  private readonly path: string;
  private readonly namesake: BuiltinStage | undefined;

  constructor(context: Context, hours: VisitHours, regime: string, name: string) {
    this.context = context;
    this.hours = hours;
    this.name = name;
    this.path = `regimes.${regime}.${name}`;
    this.namesake = ANTLER.find((stage) => stage.name === name);
  }

  /** A stage of the built-in regime itself. */
  builtin(stage: BuiltinStage): StageDraft {
    const light = stage.photoperiod && {
      start: minutes(this.assumed('start', START)),
      photoperiod: minutes(this.assumed('photoperiod', stage.photoperiod)),
    };
    return {
      name: stage.name,
      days: this.assumed('days', stage.days),
      light,
      level: light && this.assumedLevel(stage.level),
      lean: light ? this.assumedLean() : { kind: 'upright' },
      lift: this.lift(undefined, light !== undefined),
      look: undefined,
      keep: undefined,
      span: undefined,
    };
  }

  /** A stage as written; undefined when something it needs is missing (reported) or broken. */
  written(map: MapNode, room: ResolvedPlan['room']): StageDraft | undefined {
    const days = this.days(map);
    const light = this.light(map);
    const lean = this.context.has(map, 'lean')
      ? readLean(this.context, map, this.path)
      : this.leanLeftOut(light);
    const level = this.level(map, light);
    const lift = this.lift(map, light !== undefined && light !== 'dark');
    const look = this.hours.rule(map, 'look', this.path);
    const keep = resolveStageKeep(this.context, map, this.name, room);
    if (days === undefined || light === undefined || !lean) return undefined;
    const lit = light === 'dark' ? undefined : light;
    return { name: this.name, days, light: lit, level, lean, lift, look, keep, span: map.span };
  }

  private assumed<Value>(key: string, fallback: Default<Value>): Value {
    this.context.assume(`${this.path}.${key}`, fallback.text, fallback.confidence, fallback.because);
    return fallback.value;
  }

  private assumedLevel(fallback: Default<readonly [number, number]>): readonly [Lux, Lux] {
    const [low, high] = this.assumed('level', fallback);
    return [lux(low), lux(high)];
  }

  private assumedLean(): LeanDraft {
    const fallback = this.namesake?.lean;
    if (!fallback) return { kind: 'upright' };
    return this.assumed('lean', fallback) === 'sway'
      ? swayAlone(this.context, undefined, this.path)
      : { kind: 'upright' };
  }

  private days(map: MapNode): number | undefined {
    if (this.context.has(map, 'days')) return this.context.days(map, 'days');
    if (this.namesake) return this.assumed('days', this.namesake.days);
    this.missing(map, 'days', '28');
    return undefined;
  }

  private missing(map: MapNode, key: string, example: string): void {
    this.context.report('key-missing', this.context.spanOf(map, 'stage'), {
      key,
      where: this.path,
      example,
    });
  }

  /** The light of a stage; undefined when it cannot be told. */
  private light(map: MapNode): StageDraft['light'] | 'dark' {
    const context = this.context;
    const dark = context.has(map, 'light');
    const lit = (['photoperiod', 'start', 'level'] as const).find((key) => context.has(map, key));
    if (dark && lit) {
      const facts = { entry: this.path, key: lit, other: 'light' };
      context.report('key-excludes', context.keySpan(map, lit), facts, context.keySpan(map, 'light'));
      return undefined;
    }
    if (dark || (!lit && this.namesake && !this.namesake.photoperiod)) return 'dark';
    const photoperiod = this.photoperiod(map);
    if (photoperiod === undefined) return undefined;
    const start = context.has(map, 'start')
      ? context.time(map, 'start')
      : minutes(this.assumed('start', START));
    if (start === undefined) return undefined;
    return { start: minutes(start % 1440), photoperiod };
  }

  private photoperiod(map: MapNode): Minutes | undefined {
    if (!this.context.has(map, 'photoperiod')) {
      if (this.namesake?.photoperiod) return minutes(this.assumed('photoperiod', this.namesake.photoperiod));
      this.missing(map, 'photoperiod', '12 h');
      return undefined;
    }
    const written = this.context.quantity(map, 'photoperiod', 'time');
    if (written !== undefined && written > 1440) {
      this.context.report('stage-long-day', this.context.spanOf(map, 'photoperiod'), { hours: written / 60 });
      return undefined;
    }
    return written === undefined ? undefined : minutes(written);
  }

  private level(map: MapNode, light: StageDraft['light'] | 'dark'): readonly [Lux, Lux] | undefined {
    if (light === undefined || light === 'dark') return undefined;
    if (!this.context.has(map, 'level')) return this.assumedLevel(this.namesake?.level ?? LEVEL_BAND);
    const band = this.context.pair(map, 'level', (node) => this.context.quantityOf(node, 'illuminance'));
    if (!band) return undefined;
    if (band[0] >= band[1]) {
      this.context.report('value-order', this.context.spanOf(map, 'level'), {
        key: 'level',
        from: band[0],
        to: band[1],
      });
    }
    return [lux(band[0]), lux(band[1])];
  }

  private leanLeftOut(light: StageDraft['light'] | 'dark'): LeanDraft {
    return light === 'dark' || light === undefined ? { kind: 'upright' } : this.assumedLean();
  }

  /** The stage's own rule, else the plan's for lit stages, else the namesake's. */
  private lift(map: MapNode | undefined, lit: boolean): VisitRule | undefined {
    if (this.context.has(map, 'lift')) return this.hours.rule(map, 'lift', this.path);
    if (!lit) return undefined;
    const visits = this.context.map(this.context.root, 'visits');
    if (this.context.has(visits, 'lift')) return this.hours.rule(visits, 'lift', 'visits');
    if (!this.namesake?.lift) return undefined;
    const recur = { kind: 'every' as const, days: this.assumed('lift', this.namesake.lift) };
    return { recur, at: this.hours.usual, fixed: false };
  }
}

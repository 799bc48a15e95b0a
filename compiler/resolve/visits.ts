/**
 * Visits: when somebody may come, and what for.
 */

import { type CivilDay, type Minutes, minutes } from '../../shared/units.ts';
import type { Span } from '../findings/finding.ts';
import type { ResolvedVisitRules, VisitRule } from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { HARVEST_DAYS, HOURS, LOOK_DAYS, VISIT_AT } from './builtin.ts';
import type { Context } from './context.ts';

type Windows = ResolvedVisitRules['hours'];

/** Visiting hours and what follows from them for every rule of the plan. */
export class VisitHours {
  readonly windows: Windows;
  /** Where the hours are written. */
  readonly span: Span | undefined;
  /** Time taken by a rule that names none. */
  readonly usual: Minutes;
  private readonly context: Context;

  constructor(context: Context) {
    this.context = context;
    const visits = context.map(context.root, 'visits');
    const node = context.node(visits, 'hours');
    if (!context.has(visits, 'hours')) {
      context.assume('visits.hours', HOURS.text, HOURS.confidence, HOURS.because);
    }
    this.span = node?.span;
    const written = node && readWindows(context, node);
    this.windows = written ?? [[minutes(HOURS.value[0]), minutes(HOURS.value[1])]];
    const first = this.windows[0]?.[0] ?? HOURS.value[0];
    this.usual = minutes(this.allows(VISIT_AT) ? VISIT_AT : first);
  }

  allows(at: number): boolean {
    return this.windows.some(([from, until]) => from <= at && at < until);
  }

  /** The `at` of a rule: as written (inside the hours, or reported), or the usual one. */
  at(map: MapNode): Minutes {
    const at = this.context.time(map, 'at');
    if (at === undefined) return this.usual;
    if (!this.allows(at)) {
      const hours = this.windows.flat();
      this.context.report('visit-outside-hours', this.context.spanOf(map, 'at'), { at, hours }, this.span);
    }
    return at;
  }

  /** A `lift` or `look` rule; undefined when there is none or it cannot be read. */
  rule(parent: MapNode | undefined, key: string, where: string): VisitRule | undefined {
    const context = this.context;
    const map = context.map(parent, key);
    if (!map || !parent) return undefined;
    const at = this.at(map);
    const fixed = context.has(map, 'at');
    if (context.has(map, 'every') && context.has(map, 'on')) {
      const facts = { entry: `${where}.${key}`, key: 'on', other: 'every' };
      context.report('key-excludes', context.keySpan(map, 'on'), facts, context.keySpan(map, 'every'));
      return undefined;
    }
    const every = context.quantity(map, 'every', 'time');
    if (every !== undefined) return { recur: { kind: 'every', days: every / 1440 }, at, fixed };
    const on = context.weekdays(map, 'on');
    if (on) return { recur: { kind: 'weekdays', on }, at, fixed };
    if (!context.has(map, 'every') && !context.has(map, 'on')) {
      context.report('key-missing', context.keySpan(parent, key), {
        key: 'every',
        where: `${where}.${key}`,
        example: '7 d',
      });
    }
    return undefined;
  }
}

function readWindows(context: Context, node: Node): Windows | undefined {
  const items = context.items(node);
  const lists = items?.[0]?.kind === 'list' ? items : [node];
  const windows: (readonly [Minutes, Minutes])[] = [];
  for (const item of lists) {
    const [from, until] = context.tuple(item, 2, (time) => context.timeOf(time)) ?? [];
    if (from === undefined || until === undefined || !item) return undefined;
    const before = windows.at(-1);
    if (from >= until || (before && from < before[1])) {
      context.report('value-order', item.span, { key: 'hours', from, to: until, clock: true });
      return undefined;
    }
    windows.push([from, until]);
  }
  return windows.length > 0 ? windows : undefined;
}

/** The plan's visit rules. Lift rules are folded into the stages. */
export function resolveVisits(context: Context, hours: VisitHours): ResolvedVisitRules {
  const visits = context.map(context.root, 'visits');
  return {
    hours: hours.windows,
    most: context.quantity(visits, 'most', 'bags'),
    pulse: pulse(context.text(visits, 'pulse')),
    look: lookRule(context, visits, hours),
    harvest: harvest(context, visits, hours),
    away: away(context, visits),
    span: context.keySpan(context.root, context.has(context.root, 'visits') ? 'visits' : 'batches'),
  };
}

function pulse(word: string | undefined): ResolvedVisitRules['pulse'] {
  return { sound: word !== 'light' && word !== 'none', light: word !== 'sound' && word !== 'none' };
}

function lookRule(context: Context, visits: MapNode | undefined, hours: VisitHours): VisitRule | undefined {
  if (context.has(visits, 'look')) return hours.rule(visits, 'look', 'visits');
  context.assume('visits.look', LOOK_DAYS.text, LOOK_DAYS.confidence, LOOK_DAYS.because);
  return { recur: { kind: 'every', days: LOOK_DAYS.value }, at: hours.usual, fixed: false };
}

function harvest(
  context: Context,
  visits: MapNode | undefined,
  hours: VisitHours,
): ResolvedVisitRules['harvest'] {
  const map = context.map(visits, 'harvest');
  if (!context.has(visits, 'harvest')) {
    context.assume('visits.harvest', HARVEST_DAYS.text, HARVEST_DAYS.confidence, HARVEST_DAYS.because);
    return { from: HARVEST_DAYS.value[0], until: HARVEST_DAYS.value[1], at: hours.usual };
  }
  const from = context.quantity(map, 'from', 'time');
  const until = context.quantity(map, 'until', 'time');
  if (!map || from === undefined || until === undefined) return undefined;
  const at = hours.at(map);
  if (from >= until) {
    const facts = { key: 'harvest', from: from / 1440, to: until / 1440 };
    context.report('value-order', context.spanOf(map, 'until'), facts);
  }
  return { from: from / 1440, until: until / 1440, at, span: map.span };
}

function away(context: Context, visits: MapNode | undefined): ResolvedVisitRules['away'] {
  const spells: (readonly [CivilDay, CivilDay])[] = [];
  for (const item of context.list(visits, 'away') ?? []) {
    const [from, to] = context.tuple(item, 2, (day) => context.dateOf(day)) ?? [];
    if (from === undefined || to === undefined || !item) continue;
    if (from > to) context.report('value-order', item.span, { key: 'away', from: 0, to: 0 });
    else spells.push([from, to]);
  }
  return spells.sort((a, b) => a[0] - b[0]);
}

/**
 * A plan's findings and assumed values in the order and number in which a
 * grower can read them: like ones told once, what matters most first.
 *
 * Always holds: nothing is dropped; every finding and every assumed value is in
 * exactly one group, and a group's first is its first in the plan.
 */

import { levelWay, likeFault, ONE_BY_ONE, steepWay } from '../../../compiler/advice/like-faults.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import type { Assumption, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { sure } from '../../../shared/assert.ts';
import type { Units } from '../../../shared/measures.ts';
import { list, stretches } from '../../words/lists.ts';

/** Findings of one code, way and cause, under one regime. */
export interface FindingGroup {
  readonly told: Finding;
  /** The others of its kind, in plan order. */
  readonly alike: readonly Finding[];
}

/** Where a fault of the light is. */
interface Place {
  readonly zone: string;
  readonly stage: string;
  readonly batch?: string;
  readonly cause?: string;
}

/**
 * Like findings together: errors first, then light, then load, then the rest, then notes. Only faults of the light are
 * taken together, or all that are very many and say the same of other places (`all`).
 */
export function groupFindings(
  findings: readonly Finding[],
  plan: ResolvedPlan | undefined,
  which: 'light' | 'all' = 'light',
): FindingGroup[] {
  const counts = new Map<string, number>();
  const kinds = new Map(findings.map((one) => [one, sayingOf(one)]));
  for (const kind of kinds.values()) counts.set(kind, (counts.get(kind) ?? 0) + 1);
  const groups = together(findings, (one, index) => {
    const place = lightPlaceOf(one);
    const saying = kinds.get(one) ?? '';
    if (!place) return which === 'all' && (counts.get(saying) ?? 0) > EACH_MOST ? saying : String(index);
    const batch = plan?.batches.findIndex(({ name }) => name === place.batch) ?? -1;
    const zone = plan?.zones.findIndex(({ name }) => name === place.zone) ?? -1;
    const kind = `${one.code} ${one.severity}`;
    return likeFault(plan, { kind, cause: place.cause, way: wayOf(one), batch, zone });
  });
  return groups
    .map((group) => ({ told: sure(group[0]), alike: group.slice(1) }))
    .sort((a, b) => weight(a.told) - weight(b.told));
}

/** So many of a kind are told one by one. */
const EACH_MOST = 3;

/** Which way a fault of the light lies, where there are several. */
function wayOf({ code, facts }: Finding): string | undefined {
  if (code === 'light-level' && 'brightest' in facts) return levelWay(facts);
  return code === 'light-overhead' && 'elevation' in facts ? steepWay(facts.elevation) : undefined;
}

/** Errors that are the same at other places: what they name, and measure, is a place on the rack. */
const PLACED = /^(zone|lamp|screen|bag|shelf)-/;

/**
 * Equal for findings that say the same of other places. Other errors are about what is written: only where it stands
 * may differ.
 */
function sayingOf({ code, severity, facts }: Finding): string {
  const isOfPlace = severity !== 'error' || PLACED.test(code);
  const { what, axis } = facts as { readonly what?: string; readonly axis?: string };
  const said = isOfPlace ? [what, axis, adviceKind({ code, facts })] : withoutEntry(facts);
  return JSON.stringify([code, severity, said]);
}

/** Facts without the entry in which something stands; of that only the section. */
function withoutEntry(facts: Finding['facts']): object {
  const { where, entry } = facts as { readonly where?: string; readonly entry?: string };
  return { ...facts, where: where?.split('.')[0], entry: entry?.split('.')[0] };
}

/** Equal for advice of one kind: its words without what is named and measured; empty where there is none. */
export function adviceKind(finding: Pick<Finding, 'code' | 'facts'>): string {
  const { suggestion = '' } = wordsOf(finding, 'metric');
  const percent = 'fluxPercent' in finding.facts ? (finding.facts.fluxPercent ?? 100) : 100;
  const way = percent === 100 ? '' : percent < 100 ? 'less ' : 'more ';
  return way + suggestion.replace(/`[^`]*`|\P{L}+/gu, ' ').replace(/ +/g, ' ');
}

/** A line for each of the others of a group: where, and what helps there; none for a group of one. */
export function alikeLines({ told, alike }: FindingGroup, units: Units): string[] {
  if (alike.length === 0) return [];
  const helps = wordsOf(told, units).suggestion;
  const lines = alike.map((one) => {
    const { zone = '', stage = '', batch } = lightPlaceOf(one) ?? {};
    const where = `${batch === undefined ? '' : `batch \`${batch}\`, `}zone \`${zone}\`, stage \`${stage}\``;
    const { suggestion } = wordsOf(one, units);
    return suggestion === undefined || suggestion === helps ? `  ${where}` : `  ${where}: ${suggestion}`;
  });
  const all = [...new Set(lines)];
  const shown = all.length > ONE_BY_ONE ? byStage(alike) : all;
  return [`${alike.length} more alike (\`--json\` gives the figures of each):`, ...shown];
}

/** Of very many: a line a stage, with its zones. */
function byStage(alike: readonly Finding[]): string[] {
  const places = alike.map((one) => lightPlaceOf(one));
  const stages = [...new Set(places.map((place) => place?.stage ?? ''))];
  return stages.map((stage) => {
    const zones = places.flatMap((place) => (place?.stage === stage ? [place.zone] : []));
    return `  stage \`${stage}\`: zones ${list(stretches([...new Set(zones)]))}`;
  });
}

/** Where a fault of the light is; of no other findings, for only they repeat from zone to zone. */
export function lightPlaceOf({ code, facts }: Finding): Place | undefined {
  const isPlaced = code.startsWith('light-') && 'zone' in facts && 'stage' in facts;
  return isPlaced ? (facts as Place) : undefined;
}

function weight({ code, severity }: Finding): number {
  if (severity === 'error') return 0;
  if (severity === 'note') return 4;
  if (code.startsWith('light-') || code === 'lamp-one-side') return 1;
  return code.startsWith('load-') ? 2 : 3;
}

/** One assumed value of several entries. */
export interface AssumedGroup extends Assumption {
  /** `shelves.*.deck` where several entries share it. */
  readonly path: string;
  /** The entries' names; none where the path names the only one. */
  readonly entries: readonly string[];
}

/** One row for the same key with the same value in several entries of a section. */
export function groupAssumed(assumed: readonly Assumption[]): AssumedGroup[] {
  const groups = together(assumed, ({ path, value, confidence, because }) =>
    JSON.stringify([pathParts(path).shared, value, confidence, because]),
  );
  return groups.map((group) => {
    const first = sure(group[0]);
    if (group.length === 1) return { ...first, entries: [] };
    return {
      ...first,
      path: pathParts(first.path).shared,
      entries: group.map((one) => pathParts(one.path).entry),
    };
  });
}

/** `regimes.antler.wake.start` is the key `start` of `antler.wake`. */
function pathParts(path: string): { readonly shared: string; readonly entry: string } {
  const parts = path.split('.');
  const depth = parts[0] === 'regimes' ? 2 : 1;
  if (parts.length < depth + 2) return { shared: path, entry: '' };
  const entry = parts.slice(1, 1 + depth).join('.');
  return { shared: [parts[0], '*', ...parts.slice(1 + depth)].join('.'), entry };
}

/** Items with the same key together, in the order of each key's first. */
function together<T>(items: readonly T[], keyOf: (item: T, index: number) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const [index, item] of items.entries()) {
    const key = keyOf(item, index);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups.values()];
}

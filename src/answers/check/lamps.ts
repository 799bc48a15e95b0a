/**
 * What the lamps of each zone do, stage by stage, and why the others are off.
 *
 * Always holds: zones whose lamps do the same are told once where there are many; how
 * many zones are not told is said.
 */

import { darkStages, stageReports } from '../../../compiler/advice/stage-report.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { list } from '../../words/lists.ts';
import { lampLines } from '../light/why-text.ts';
import { zonesOn } from './zones.ts';

/** The lines before the findings: what each zone's lamps do, stage by stage, and why the others are off; what all batches of a zone share, once; no more than about `most` lines. */
export function whyLines({ plan, timeline }: Compiled, most = LAMP_LINES_MAX): string[] {
  if (!plan || !timeline) return [];
  const { courses, treatments } = timeline.steered;
  const byZone = plan.zones.map(({ name }, zone) => {
    const batches = courses
      .filter((course) => course.zone === zone)
      .map((course) => {
        const stages = stageReports(plan, timeline.field, treatments, course);
        return {
          batch: itemAt(plan.batches, course.batch).name,
          own: lampLines(stages, darkStages(plan, course)),
          mayMiss: stages.some(({ mayMiss }) => mayMiss.length > 0),
        };
      });
    const all = new Set(batches.flatMap(({ own }) => own));
    const told = [...all].map((line) => {
      const having = batches.filter(({ own }) => own.includes(line));
      const of = having.length === batches.length ? '' : `, batch ${list(having.map(({ batch }) => batch))}`;
      return { of, line };
    });
    return { zone, name, told, mayMiss: batches.some(({ mayMiss }) => mayMiss) };
  });
  const lines = byZone.flatMap(({ name, told }) => told.map(({ of, line }) => `  ${name}${of}: ${line}`));
  if (lines.length === 0) return [];
  return ['What the lamps do:', ...(lines.length > most ? alikeZones(plan, byZone, most) : lines), ''];
}

/** So many lines are still read zone by zone. */
const LAMP_LINES_MAX = 40;

interface ZoneLines {
  readonly zone: number;
  readonly name: string;
  readonly told: readonly { readonly of: string; readonly line: string }[];
  /** Whether something is met, but lies near to its limit. */
  readonly mayMiss: boolean;
}

/**
 * Zones whose lamps do the same, once: each lamp by the side on which it stands. What is too
 * long even so is told of as many zones as there is room for, those with most alike first.
 */
function alikeZones(plan: ResolvedPlan, zones: readonly ZoneLines[], most: number): string[] {
  const groups = new Map<string, ZoneLines[]>();
  for (const one of zones) {
    // Where batches of a zone differ, it is told by itself.
    const differs = one.told.some(({ of }) => of !== '');
    const alike = one.told.map(({ line }) => bySide(plan, one.zone, line));
    const key = JSON.stringify(differs ? one.name : alike);
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const lines: string[] = [];
  const told = new Set<ZoneLines>();
  for (const group of [...groups.values()].sort((a, b) => b.length - a.length)) {
    const own = groupLines(plan, group);
    if (lines.length > 0 && lines.length + own.length >= most) break;
    lines.push(...own);
    for (const one of group) told.add(one);
  }
  const left = zones.filter((one) => one.told.length > 0 && !told.has(one));
  if (left.length > 0) lines.push(moreZones(left));
  return lines;
}

function moreZones(left: readonly ZoneLines[]): string {
  const zones = `${left.length} more ${left.length === 1 ? 'zone' : 'zones'}`;
  const close = left.filter(({ mayMiss }) => mayMiss).length;
  const miss = close === 0 ? '' : `; light in ${close} of them may miss what was asked for`;
  return `  ${zones}: \`light --all\` tells of each${miss}.`;
}

function groupLines(plan: ResolvedPlan, group: readonly ZoneLines[]): string[] {
  const [first] = group;
  if (!first) return [];
  if (group.length === 1) return first.told.map(({ of, line }) => `  ${first.name}${of}: ${line}`);
  if (first.told.length === 0) return [];
  const names = zonesOn(
    plan,
    group.map(({ name }) => name),
  );
  return [`  ${names}:`, ...first.told.map(({ line }) => `    ${bySide(plan, first.zone, line)}`)];
}

/** A line with the zone's own lamps called by their sides. */
export function bySide(plan: ResolvedPlan, zone: number, line: string): string {
  const own = plan.lamps.flatMap(({ name, beside }) =>
    beside?.zone === zone ? [{ name, side: beside.side }] : [],
  );
  // The longest first, for a name may begin with another.
  return own
    .sort((a, b) => b.name.length - a.name.length)
    .reduce(
      (text, { name, side }) =>
        text.replaceAll(name, `the lamp ${side === 'above' ? side : `at the ${side}`}`),
      line,
    );
}

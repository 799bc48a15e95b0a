/**
 * The light report of a large rack, about a screenful: zones that get the same once.
 *
 * Always holds: zones that get something that was not asked for are named or counted; what is
 * left out is counted, and `--all` tells it.
 */

import type { LightReport, ZoneReport } from '../../../compiler/advice/light-report.ts';
import { ONE_BY_ONE } from '../../../compiler/advice/like-faults.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { shortList } from '../../words/lists.ts';
import { bySide } from '../check/lamps.ts';
import { zonesOn } from '../check/zones.ts';
import { columnLines, energyWords, zoneFacts } from './text.ts';

/** Lines that are read at a look. */
const SCREENFUL = 50;

/** Whether zones and batches are so many that what is alike is told once. */
export const isLongReport = ({ zones }: LightReport): boolean => zones.length > ONE_BY_ONE;

/** The report in short; the plan has the lamps and the shelves of its zones. */
export function shortLightText(plan: ResolvedPlan, report: LightReport): string {
  const lists = report.outputs.length > 0 ? 'lists each output and ' : '';
  const tail = [
    `${energyWords(report.outputs, report.kWh)} \`--all\` ${lists}draws the shelves.`,
    '',
    ...columnLines(report),
  ];
  const lines: string[] = [];
  const left = new Set(report.zones);
  for (const { facts, zones, isOnSameDays } of groupsOf(plan, report)) {
    const own = [headWords(plan, zones, isOnSameDays), ...facts, ''];
    // The first is told however long it is; lines are kept for those that are not.
    if (lines.length > 0 && lines.length + own.length + tail.length + 6 > SCREENFUL) continue;
    lines.push(...own);
    for (const zone of zones) left.delete(zone);
  }
  return [report.title, '', ...lines, ...leftLines(plan, [...left]), ...tail].join('\n');
}

const ANY_DAY = /\d{4}-\d{2}-\d{2}/g;

interface Alike {
  /** Of the first of the zones; the days of the others may be other ones. */
  readonly facts: readonly string[];
  readonly zones: readonly ZoneReport[];
  readonly isOnSameDays: boolean;
}

/** Zones with the same figures, on whatever days, those that are most first; their lamps are called by their sides. */
function groupsOf(plan: ResolvedPlan, report: LightReport): Alike[] {
  const groups = new Map<string, Alike>();
  for (const zone of report.zones) {
    const index = plan.zones.findIndex(({ name }) => name === zone.zone);
    const facts = zoneFacts(zone, report.units).map((line) => bySide(plan, index, line));
    const key = facts.join('\n').replace(ANY_DAY, '');
    const known = groups.get(key) ?? { facts, zones: [], isOnSameDays: true };
    const isOnSameDays = known.isOnSameDays && facts.join('\n') === known.facts.join('\n');
    groups.set(key, { ...known, zones: [...known.zones, zone], isOnSameDays });
  }
  return [...groups.values()].sort((a, b) => b.zones.length - a.zones.length);
}

const namesOf = (plan: ResolvedPlan, zones: readonly ZoneReport[]): string =>
  zonesOn(plan, [...new Set(zones.map(({ zone }) => zone))]);

function headWords(plan: ResolvedPlan, zones: readonly ZoneReport[], isOnSameDays: boolean): string {
  const names = namesOf(plan, zones);
  const batches = [...new Set(zones.map(({ batch }) => batch))];
  const { zone, batch } = itemAt(zones, 0);
  const isOne = batches.length === 1;
  const of = isOne ? `batch ${batch}` : `batches ${shortList(batches)}`;
  const days = isOnSameDays ? '' : `; the days are those of ${isOne ? `zone ${zone}` : batch}`;
  return `${names.charAt(0).toUpperCase()}${names.slice(1)}, ${of}${days}`;
}

/** Those that are not told one by one, and where light is not what was asked for, or may not be. */
function leftLines(plan: ResolvedPlan, left: readonly ZoneReport[]): string[] {
  if (left.length === 0) return [];
  const count = new Set(left.map(({ zone }) => zone)).size;
  const more = `${count} more ${count === 1 ? 'zone' : 'zones'}: \`--all\` tells of each.`;
  const unmet = left.filter(({ stages }) => stages.some(({ met }) => !met));
  const close = left.filter(
    (zone) => !unmet.includes(zone) && zone.stages.some(({ mayMiss }) => mayMiss.length > 0),
  );
  return [
    more,
    ...(unmet.length > 0 ? [`  not met in ${namesOf(plan, unmet)}`] : []),
    ...(close.length > 0 ? [`  may miss in ${namesOf(plan, close)}`] : []),
    '',
  ];
}

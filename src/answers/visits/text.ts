/** The coming work as a short text for the terminal: tonight first. */

import { clockTime, isoDate, weekday } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { placeWords } from '../../words/places.ts';
import { sideWord } from '../../words/sides.ts';
import { HARVEST_CAUTION, VISIT_CAUTIONS } from './advice.ts';
import type { WorkItem } from './work.ts';

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/** `Mon 2026-04-13`. */
export function dateWords(day: CivilDay): string {
  return `${WEEKDAYS[weekday(day)]} ${isoDate(day)}`;
}

/** One entry: `18:00–21:00  lift A; climb of early`. */
export function itemWords(item: WorkItem): string {
  const bags = item.places.length > 0 ? ` (${placeWords(item.places)})` : '';
  const side = item.side === undefined ? '' : `, its ${sideWord(item.side)} side to the lamp`;
  const open = item.openUntil === undefined ? '' : `, open until ${isoDate(item.openUntil)}`;
  const kind = item.closer ? 'closer look' : item.kind;
  const state = item.answer === undefined ? '' : ` — ${item.answer}`;
  return `${clockTime(item.at)}–${untilWords(item.until)}  ${kind} ${item.zone}${bags}${side}${open}; ${item.stage} of ${item.batch}${state}`;
}

function untilWords(minute: number): string {
  return minute === 1440 ? '24:00' : clockTime(minute);
}

/** The whole list from `today` on. */
export function workText(items: readonly WorkItem[], today: CivilDay, days: number): string {
  const lines: string[] = [];
  const tonight = items.filter((item) => item.day === today);
  lines.push(`Today, ${dateWords(today)}:`, ...(tonight.length > 0 ? entries(tonight) : ['  nothing to do']));
  for (const day of [...new Set(items.map((item) => item.day))].filter((one) => one > today)) {
    lines.push(`${dateWords(day)}:`, ...entries(items.filter((item) => item.day === day)));
  }
  if (items.every((item) => item.day === today)) lines.push(`Nothing else in the next ${days} days.`);
  if (items.length > 0) lines.push('', ...cautionsFor(items));
  return lines.join('\n');
}

/** Entries, each kind's line of advice said once a day. */
function entries(items: readonly WorkItem[]): string[] {
  const said = new Set<string>();
  return items.flatMap((item) => {
    const lines = [`  ${itemWords(item)}`];
    if (!said.has(item.lookFor)) lines.push(`      ${item.lookFor}`);
    said.add(item.lookFor);
    return lines;
  });
}

/** The cautions that a list of work calls for. */
export function cautionsFor(items: readonly WorkItem[]): string[] {
  return [...VISIT_CAUTIONS, ...(items.some((item) => item.kind === 'harvest') ? [HARVEST_CAUTION] : [])];
}

/**
 * The changes of a flash in the grower's terms.
 */

import { itemAt } from '../../../shared/assert.ts';
import { clockTime, isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { hex } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import { type Names, oneOutput, zoneWords } from '../../words/names.ts';
import type { Changes, LightSum, Loss, OutputChange, VisitChange } from './changes.ts';

const date = (day: number): string => isoDate(civilDay(day));
const hours = (value: number): string => `${Number(value.toFixed(1))} h`;
const days = (count: number): string => `${count} ${count === 1 ? 'day' : 'days'}`;

/** One line an output, then one a kind of visit. */
export function changeLines(changes: Changes, names: Names): string[] {
  const outputs = changes.outputs.map((change) => [
    lampNames(change.output, names),
    changes.first ? lightWords(change.after) : outputWords(change),
  ]);
  const visits = changes.visits.map((change) => [change.kind, visitWords(change, changes.first, names)]);
  return columns([...outputs, ...visits]);
}

function lampNames(output: number, names: Names): string {
  const lamps = names.outputs[output - 1] ?? [];
  return lamps.length > 0 ? list(lamps) : oneOutput(output, names);
}

function lightWords({ days: count, hours: sum, firstDay, lastDay }: LightSum): string {
  if (firstDay === undefined || lastDay === undefined) return 'stays dark';
  return `light on ${days(count)} from ${date(firstDay)} to ${date(lastDay)}, ${hours(sum / count)} a day`;
}

function outputWords(change: OutputChange): string {
  const { differing, hoursBefore, hoursAfter, lost } = change;
  const first = differing[0];
  const last = differing[differing.length - 1];
  if (first === undefined || last === undefined) return 'as before';
  const span =
    first === last
      ? `on ${date(first)}`
      : `on ${days(differing.length)} between ${date(first)} and ${date(last)}`;
  const same = Math.abs(hoursBefore - hoursAfter) < 0.05;
  const what = same
    ? `${hours(hoursAfter)} as before, at other times or levels`
    : `${hours(hoursAfter)} of light instead of ${hours(hoursBefore)}`;
  const dark = lost.length > 0 ? `; dark on ${days(lost.length)} that had light` : '';
  return `changes ${span}: ${what}${dark}`;
}

function visitWords({ before, after, same, next }: VisitChange, first: boolean, names: Names): string {
  const coming = next
    ? `, ${next.open ? 'open since' : 'next on'} ${date(next.day)} at ${clockTime(next.minute)} in ${zoneWords(next.zones, names)}`
    : '';
  if (first) return `${after} to come${coming}`;
  if (same) return `${after} to come, as before${coming}`;
  return before === after
    ? `${after} to come, at other times${coming}`
    : `${after} to come instead of ${before}${coming}`;
}

/** What would be lost, for the question whether to go on. */
export function lostWords(losses: readonly Loss[]): string {
  const lines = losses.map(({ place, days: list }) => [
    `  ${place}`,
    list.length === 1
      ? `the light of ${date(itemAt(list, 0))}`
      : `the light of ${days(list.length)} from ${date(itemAt(list, 0))} to ${date(itemAt(list, list.length - 1))}`,
  ]);
  return columns(lines).join('\n');
}

/** The changes for machines. */
export function changesJson(changes: Changes, names: Names): Record<string, unknown> {
  return {
    first: changes.first,
    outputs: changes.outputs.map(({ output, before, after, differing, hoursBefore, hoursAfter, lost }) => ({
      output,
      lamps: names.outputs[output - 1] ?? [],
      before: lightJson(before),
      after: lightJson(after),
      differingDays: differing.map(date),
      hoursBefore,
      hoursAfter,
      lostDays: lost.map(date),
    })),
    visits: changes.visits.map(({ kind, before, after, same, next }) => ({
      kind,
      before,
      after,
      same,
      next: next
        ? {
            day: date(next.day),
            at: clockTime(next.minute),
            zones: zoneWords(next.zones, names),
            open: next.open,
          }
        : null,
    })),
  };
}

function lightJson({ days: count, hours: sum, firstDay, lastDay }: LightSum): Record<string, unknown> {
  const day = (value: number | undefined): string | null => (value === undefined ? null : date(value));
  return { days: count, hours: sum, firstDay: day(firstDay), lastDay: day(lastDay) };
}

/** `number 3, CRC 1A2B3C4D`. */
export function tableName(sequence: number, crc: number): string {
  return `number ${sequence} (CRC ${hex(crc, 8)})`;
}

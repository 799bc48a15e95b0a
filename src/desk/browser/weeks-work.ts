/**
 * The worker's part in the weeks: the bands, with what really happened where an
 * archive tells of it, and what is made to happen.
 *
 * Always holds: days that were lived show what was, later ones what the
 * simulated controllers do.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Happened, LivedWeeks } from '../../answers/review/lived.ts';
import { parseEvent } from '../../answers/simulate/events.ts';
import { missedWords, visitOf } from '../../answers/simulate/missed.ts';
import { differs, type GrownWeeks } from '../../answers/simulate/weeks.ts';
import { visitKey } from '../../answers/visits/outcomes.ts';
import { drawnWeeks, type WeekMark } from '../../page/weeks-drawing.ts';
import type { WeeksAnswer } from './messages.ts';

export interface WeeksAsked {
  readonly sound: SoundPlan;
  readonly grown: GrownWeeks | undefined;
  readonly events: readonly string[];
  readonly missed: readonly string[];
  readonly lived: LivedWeeks | undefined;
  readonly fault: string | undefined;
}

/** The weeks; undefined without a batch. */
export function weeksAnswer({
  sound,
  grown,
  events,
  missed,
  lived,
  fault,
}: WeeksAsked): WeeksAnswer | undefined {
  const { plan, timeline } = sound;
  const [first] = timeline.demands;
  if (!first) return undefined;
  const until = lived?.until ?? Number.NEGATIVE_INFINITY;
  const indexOf = (name: string): number => plan.zones.findIndex((one) => one.name === name);
  const others = [
    ...(lived?.others ?? []).map((one) => ({ ...one, zone: indexOf(one.zone) })),
    ...(grown?.days.filter((one) => differs(one) && one.day >= until) ?? []),
  ].filter(({ zone }) => zone >= 0);
  const skipped = missed.flatMap((key) => visitOf(timeline.visits, key) ?? []);
  const marks: WeekMark[] = [
    ...(lived?.happened ?? []).map((one) => markOf(one, first.day, indexOf)),
    ...skipped.map((visit): WeekMark => {
      const { zone, kind, day } = visit;
      return {
        kind: 'missed',
        zone,
        at: day - first.day + 0.5,
        days: 0,
        words: `what if the ${kind} is missed`,
      };
    }),
    ...events.flatMap((text, n) => eventMark(text, n, first.day)),
  ];
  const { drawing, start, day } = drawnWeeks(plan, timeline.demands, timeline.visits, { others, marks });
  return {
    ...{
      drawing: drawing.text,
      start,
      dayWidth: day,
      first: first.day,
      count: timeline.demands.length,
      fault,
    },
    others: others.map((one) => ({ ...one, zone: itemAt(plan.zones, one.zone).name })),
    visits: timeline.visits.map((one) => ({
      ...{ key: visitKey(one.zone, one.kind, one.day), kind: one.kind, day: one.day },
      zone: itemAt(plan.zones, one.zone).name,
    })),
    missed: skipped.map((visit) => ({
      key: visitKey(visit.zone, visit.kind, visit.day),
      words: missedWords(plan, timeline.visits, visit),
    })),
  };
}

function markOf(
  { kind, zone, day, from, days, words }: Happened,
  first: number,
  indexOf: (name: string) => number,
): WeekMark {
  return { kind, zone: zone === undefined ? undefined : indexOf(zone), at: day - first + from, days, words };
}

/** Events at a civil time are marked there; the others nowhere. */
function eventMark(text: string, n: number, first: number): WeekMark[] {
  const { time } = parseEvent(text);
  if (time.kind !== 'civil') return [];
  const at = time.day - first + time.second / 86_400;
  return [{ kind: 'event', zone: undefined, at, days: 0, words: `${n + 1}: ${text}` }];
}

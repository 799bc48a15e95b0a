/**
 * Blocks of light, day by day → for each output the pattern of each day.
 *
 * Always holds: a lane has at most one pattern a day, and its patterns never
 * overlap in elapsed time; an output whose blocks hang on several photoperiods on one day
 * spreads over several lanes.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Pattern, Segment } from '../../shared/table.ts';
import { firstInstant, type UtcOffsets } from '../plan/utc-offsets.ts';
import type { Block, DayBlocks } from '../steer/block.ts';

/** One output's patterns on one clock, by civil day. */
export interface Lane {
  /** Output number, 1-based. */
  readonly output: number;
  /** Fixed UTC offset in quarter hours; undefined: the wall clock. */
  readonly steadyQuarters: number | undefined;
  readonly byDay: ReadonlyMap<number, Pattern>;
}

interface OpenLane {
  readonly output: number;
  readonly steadyQuarters: number | undefined;
  readonly byDay: Map<number, Pattern>;
  /** Start of the newest pattern, minute of its day, and its end in UTC minutes from 2000-01-01. */
  anchor: number;
  end: number;
  day: number;
}

/** The lanes of one controller, by output. `offsets` are those of the place. */
export function lanesOf(controller: number, days: readonly DayBlocks[], offsets: UtcOffsets): Lane[] {
  const lanes: OpenLane[] = [];
  for (const { day, blocks } of days) {
    const groups = byAnchor(blocks.filter((block) => block.controller === controller));
    // What was there yesterday at the same minute goes on in its lane; only then the others look for room.
    const fresh = groups.filter((group) => !continueLane(lanes, day, group, offsets));
    for (const group of fresh) placeLane(lanes, day, group, offsets);
  }
  return lanes.sort((a, b) => a.output - b.output);
}

function sameLine(lane: OpenLane, group: readonly Block[]): boolean {
  const { output, clock } = itemAt(group, 0);
  return (
    lane.output === output && lane.steadyQuarters === (clock === 'civil' ? undefined : clock.offsetQuarters)
  );
}

/** UTC minute at which the photoperiod of a block of a day begins. */
function startOf(day: number, { anchor, clock }: Block, offsets: UtcOffsets): number {
  if (clock === 'civil') return firstInstant(offsets, day, anchor) / 60;
  return day * 1440 + anchor - 15 * clock.offsetQuarters;
}

function continueLane(
  lanes: readonly OpenLane[],
  day: number,
  group: readonly Block[],
  offsets: UtcOffsets,
): boolean {
  const { anchor } = itemAt(group, 0);
  const start = startOf(day, itemAt(group, 0), offsets);
  const lane = lanes.find(
    (one) => sameLine(one, group) && one.day === day - 1 && one.anchor === anchor && one.end <= start,
  );
  if (lane) put(lane, day, group, offsets);
  return lane !== undefined;
}

function placeLane(lanes: OpenLane[], day: number, group: readonly Block[], offsets: UtcOffsets): void {
  const { output, clock, anchor } = itemAt(group, 0);
  const start = startOf(day, itemAt(group, 0), offsets);
  const free = lanes.find((one) => sameLine(one, group) && one.day < day && one.end <= start);
  if (free) {
    put(free, day, group, offsets);
    return;
  }
  const steadyQuarters = clock === 'civil' ? undefined : clock.offsetQuarters;
  const lane: OpenLane = { output, steadyQuarters, byDay: new Map(), anchor, end: 0, day };
  lanes.push(lane);
  put(lane, day, group, offsets);
}

function put(lane: OpenLane, day: number, group: readonly Block[], offsets: UtcOffsets): void {
  const pattern = patternOf(group);
  lane.byDay.set(day, pattern);
  lane.anchor = pattern.start;
  lane.day = day;
  const length = pattern.segments.reduce((sum, segment) => sum + segment.length, 0);
  const first = itemAt(group, 0);
  lane.end = pattern.continuous ? startOf(day + 1, first, offsets) : startOf(day, first, offsets) + length;
}

/** Groups of blocks with the same output, clock and anchor, in order. */
function byAnchor(blocks: readonly Block[]): Block[][] {
  const groups = new Map<string, Block[]>();
  for (const block of blocks) {
    const clock = block.clock === 'civil' ? 'civil' : block.clock.offsetQuarters;
    const name = `${block.output} ${clock} ${block.anchor}`;
    const group = groups.get(name);
    if (group) group.push(block);
    else groups.set(name, [block]);
  }
  const all = [...groups.values()];
  for (const group of all) group.sort((a, b) => a.from - b.from);
  return all.sort(
    (a, b) => itemAt(a, 0).output - itemAt(b, 0).output || itemAt(a, 0).anchor - itemAt(b, 0).anchor,
  );
}

function patternOf(blocks: readonly Block[]): Pattern {
  const segments: Segment[] = [];
  let at = 0;
  for (const block of blocks) {
    if (block.from > at) segments.push({ length: block.from - at, level: 0 });
    const last = segments[segments.length - 1];
    if (last && last.level === block.level && block.from === at) {
      segments[segments.length - 1] = { length: last.length + block.length, level: last.level };
    } else segments.push({ length: block.length, level: block.level });
    at = block.from + block.length;
  }
  return { start: itemAt(blocks, 0).anchor, continuous: blocks.some((block) => block.continuous), segments };
}

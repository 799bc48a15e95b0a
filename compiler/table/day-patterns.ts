/**
 * Blocks of light, day by day → for each output the pattern of each day.
 *
 * Always holds: a lane has at most one pattern a day; an output whose blocks
 * hang on several photoperiods on one day spreads over several lanes.
 */

import type { Pattern, Segment } from '../../shared/table.ts';
import type { Block, DayBlocks } from '../steer/demand.ts';

/** One output's patterns on one clock, by civil day. */
export interface Lane {
  /** Output number, 1-based. */
  readonly output: number;
  /** Fixed UTC offset in quarter hours; undefined: the wall clock. */
  readonly steadyQuarters: number | undefined;
  readonly byDay: ReadonlyMap<number, Pattern>;
}

/** The lanes of one controller, by output and order of the day. */
export function lanesOf(controller: number, days: readonly DayBlocks[]): Lane[] {
  const lanes = new Map<
    string,
    { output: number; steadyQuarters: number | undefined; byDay: Map<number, Pattern> }
  >();
  for (const { day, blocks } of days) {
    const used = new Map<string, number>();
    for (const group of byAnchor(blocks.filter((block) => block.controller === controller))) {
      const { output, clock } = group[0]!;
      const steadyQuarters = clock === 'civil' ? undefined : clock.offsetQuarters;
      const line = `${String(output).padStart(2)} ${steadyQuarters ?? 'civil'}`;
      const turn = used.get(line) ?? 0;
      used.set(line, turn + 1);
      const name = `${line} ${turn}`;
      const lane = lanes.get(name) ?? { output, steadyQuarters, byDay: new Map<number, Pattern>() };
      lane.byDay.set(day, patternOf(group));
      lanes.set(name, lane);
    }
  }
  return [...lanes].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, lane]) => lane);
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
  return all.sort((a, b) => a[0]!.output - b[0]!.output || a[0]!.anchor - b[0]!.anchor);
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
  return { start: blocks[0]!.anchor, continuous: at === 1440, segments };
}

/**
 * Stretches of burning turned into blocks, each anchored to the demand it serves.
 *
 * Always holds: a block lies inside the photoperiod it is anchored to; blocks of one
 * output and anchor neither overlap nor, at equal level, touch; blocks of a day are
 * sorted by controller, output, anchor, from.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { minutes } from '../../shared/units.ts';
import type { FieldOutput } from '../light/field.ts';
import type { Clock, DayDemands } from '../timeline/demand.ts';
import type { Block, DayBlocks } from './block.ts';
import type { Lit } from './cells.ts';

/** One output burning evenly for a while, and the demands lit meanwhile, the one it serves most first. */
export interface Burn {
  readonly output: FieldOutput;
  readonly level: number;
  readonly from: number;
  readonly to: number;
  readonly serves: readonly Lit[];
}

/** Sorts burns into the days of the demands they serve. Burns of one output must be in order of time. */
export function toBlocks(days: readonly DayDemands[], burns: readonly Burn[]): DayBlocks[] {
  const byDay = new Map<number, Placed[]>(days.map(({ day }) => [day, []]));
  let last: Placed | undefined;
  for (const burn of burns) {
    const lit = anchorOf(burn, last);
    const block = blockOf(burn, lit);
    const list = sure(byDay.get(lit.day));
    if (last !== undefined && last.lit.day === lit.day && joins(last.block, block)) {
      list.pop();
      last = { block: { ...last.block, length: last.block.length + block.length }, lit };
    } else {
      last = { block, lit };
    }
    list.push(last);
  }
  return days.map(({ day }) => ({ day, blocks: sure(byDay.get(day)).flatMap(roundTheClock).sort(inOrder) }));
}

/** A block and the demand it is anchored to. */
interface Placed {
  readonly block: Block;
  readonly lit: Lit;
}

/** The demand a burn goes by: the one the output already burns for, if it may go on, else the one it serves most. */
function anchorOf(burn: Burn, last: Placed | undefined): Lit {
  const goesOn = burn.serves.find(
    (lit) => last !== undefined && lit.day === last.lit.day && joins(last.block, blockOf(burn, lit)),
  );
  return goesOn ?? itemAt(burn.serves, 0);
}

/**
 * Round-the-clock light is said the same on every day, also on those of 23 and 25 hours: what
 * burns to its end ends at minute 1440 and is continuous.
 */
function roundTheClock({ block, lit: { from, to, demand } }: Placed): Block[] {
  if (demand.length < 1440 || demand.yields > 0) return [block];
  const end = block.from + block.length;
  if (block.from >= 1440) return [];
  if (end < to - from) return [{ ...block, length: Math.min(end, 1440) - block.from }];
  return [{ ...block, length: 1440 - block.from, continuous: true }];
}

function blockOf(burn: Burn, { from, demand }: Lit): Block {
  return {
    controller: burn.output.controller,
    output: burn.output.number,
    anchor: minutes(demand.start),
    clock: demand.clock,
    from: burn.from - from,
    length: burn.to - burn.from,
    level: burn.level,
    continuous: false,
  };
}

function joins(a: Block, b: Block): boolean {
  return (
    a.controller === b.controller &&
    a.output === b.output &&
    a.level === b.level &&
    a.anchor === b.anchor &&
    sameClock(a.clock, b.clock) &&
    a.from + a.length === b.from
  );
}

const offset = (clock: Clock): number => (clock === 'civil' ? 1000 : clock.offsetQuarters);
const sameClock = (a: Clock, b: Clock): boolean => offset(a) === offset(b);

function inOrder(a: Block, b: Block): number {
  return (
    a.controller - b.controller ||
    a.output - b.output ||
    a.anchor - b.anchor ||
    a.from - b.from ||
    offset(a.clock) - offset(b.clock)
  );
}

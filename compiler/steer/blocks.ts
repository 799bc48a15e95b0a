/**
 * Stretches of burning turned into blocks, each anchored to the demand it serves.
 *
 * Always holds: a block lies inside the photoperiod it is anchored to, but for what a
 * clock change adds to round-the-clock light, which has an anchor of its own; blocks of
 * one output and anchor neither overlap nor, at equal level, touch; blocks of a day are
 * sorted by controller, output, anchor, from.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { civilDay, minutes } from '../../shared/units.ts';
import type { FieldOutput } from '../light/field.ts';
import type { Clock, DayDemands } from '../timeline/demand.ts';
import type { Block, DayBlocks } from './block.ts';
import type { Lit } from './cells.ts';

/** The most minutes that a pattern has (`table-format.md`, Patterns). */
const DAY_MINUTES = 1440;

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
  placeAll(byDay, burns);
  const anchored = [...byDay.values()].flatMap((placed) => placed.flatMap(inTheDay));
  // A clock change may carry what begins on the last day into one more.
  const all = [...new Set([...byDay.keys(), ...anchored.map(({ day }) => day)])].sort((a, b) => a - b);
  const blocks = new Map(all.map((day) => [day, [] as Block[]]));
  for (const { day, block } of anchored) sure(blocks.get(day)).push(block);
  return all.map((day) => ({ day: civilDay(day), blocks: sure(blocks.get(day)).sort(inOrder) }));
}

/** Puts each burn on the list of its day, joined to the one before where it goes on. */
function placeAll(byDay: ReadonlyMap<number, Placed[]>, burns: readonly Burn[]): void {
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
}

/** The days of each controller on which it has blocks, in order. */
export function daysByController(days: readonly DayBlocks[]): Map<number, DayBlocks[]> {
  const all = new Map<number, DayBlocks[]>();
  for (const { day, blocks } of days) {
    for (const [controller, own] of byController(blocks)) {
      const known = all.get(controller);
      if (known === undefined) all.set(controller, [{ day, blocks: own }]);
      else known.push({ day, blocks: own });
    }
  }
  return all;
}

function byController(blocks: readonly Block[]): Map<number, Block[]> {
  const own = new Map<number, Block[]>();
  for (const block of blocks) {
    const known = own.get(block.controller);
    if (known === undefined) own.set(block.controller, [block]);
    else known.push(block);
  }
  return own;
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
 * burns to its end ends at minute 1440 and is continuous. What else burns after minute 1440 is
 * anchored to what the clock reads there, since a pattern has no more minutes.
 */
function inTheDay({ block, lit: { day, from, to, demand } }: Placed): { day: number; block: Block }[] {
  const end = block.from + block.length;
  const roundTheClock = demand.length === DAY_MINUTES && demand.yields === 0;
  if (roundTheClock && end === to - from && block.from < DAY_MINUTES)
    return [{ day, block: { ...block, length: DAY_MINUTES - block.from, continuous: true } }];
  if (end <= DAY_MINUTES) return [{ day, block }];
  const beyond = sure(demand.beyond);
  const begin = Math.max(block.from, DAY_MINUTES);
  const rest = { ...block, anchor: beyond.minute, from: from + begin - beyond.at, length: end - begin };
  const first = { ...block, length: DAY_MINUTES - block.from };
  return [...(first.length > 0 ? [{ day, block: first }] : []), { day: beyond.day, block: rest }];
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

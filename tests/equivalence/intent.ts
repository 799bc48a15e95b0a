/**
 * The intent: what every output should do at every second, worked out slowly
 * from the resolved plan and the chosen blocks with Temporal's own IANA
 * arithmetic. It knows nothing of the table, its encoder or its evaluators.
 */

import { Temporal } from 'temporal-polyfill';
import type { Block, DayBlocks } from '../../compiler/steer/block.ts';
import { isoDate, unixMsFromUtc } from '../../shared/civil.ts';
import { civilDay, type UtcSeconds, utcSeconds } from '../../shared/units.ts';

/** A stretch of light of one output: [from, until) in UTC seconds, and its output byte. */
export interface Lit {
  readonly from: number;
  readonly until: number;
  readonly byte: number;
}

/**
 * The first instant at which the place's wall clock reads a time: Temporal's
 * "earlier" of a repeated time; for a skipped time the transition itself.
 */
export function firstReading(timezone: string, date: string, minute: number): number {
  const wall = Temporal.PlainDate.from(date).toPlainDateTime().add({ minutes: minute });
  const zoned = wall.toZonedDateTime(timezone, { disambiguation: 'earlier' });
  if (zoned.toPlainDateTime().equals(wall)) return seconds(zoned.epochMilliseconds);
  const change = zoned.getTimeZoneTransition('next');
  if (!change) throw new Error(`${date} is skipped in ${timezone}, but no transition follows`);
  return seconds(change.epochMilliseconds);
}

const seconds = (unixMs: number): number => Math.floor((unixMs - unixMsFromUtc(utcSeconds(0))) / 1000);

function startOf(timezone: string, day: number, block: Block): number {
  if (block.clock === 'civil') return firstReading(timezone, isoDate(civilDay(day)), block.anchor);
  return day * 86_400 + block.anchor * 60 - block.clock.offsetQuarters * 900;
}

/** Light that fills its 24 hours lasts until the next day's start, whatever the clock does. */
function roundTheClock(own: readonly Block[], block: Block): boolean {
  const same = own.filter((other) => other.anchor === block.anchor && clockName(other) === clockName(block));
  return same.some((other) => other.continuous);
}

const clockName = (block: Block): string =>
  block.clock === 'civil' ? 'civil' : String(block.clock.offsetQuarters);

/** All lit stretches of one output (1-based) of a controller, lag included, in order of their start. */
export function intendedLight(
  timezone: string,
  days: readonly DayBlocks[],
  controller: number,
  output: number,
): Lit[] {
  const lag = output - 1;
  const lit: Lit[] = [];
  for (const { day, blocks } of days) {
    const own = blocks.filter((block) => block.controller === controller && block.output === output);
    for (const block of own) {
      const start = startOf(timezone, day, block);
      const end = roundTheClock(own, block) ? startOf(timezone, day + 1, block) : undefined;
      const until = start + (block.from + block.length) * 60;
      const cut = end === undefined ? until : block.continuous ? end : Math.min(until, end);
      const byte = Math.floor((255 * block.level + 8) / 16);
      lit.push({ from: start + block.from * 60 + lag, until: cut + lag, byte });
    }
  }
  return lit.sort((a, b) => a.from - b.from);
}

/** Walks every second of [from, until) and gives the eight intended bytes, output 1 first. */
export function* intendedSeconds(
  timezone: string,
  days: readonly DayBlocks[],
  controller: number,
  from: UtcSeconds,
  until: UtcSeconds,
): Iterable<{ readonly utc: number; readonly levels: Uint8Array }> {
  const all = Array.from({ length: 8 }, (_, index) => intendedLight(timezone, days, controller, index + 1));
  const levels = new Uint8Array(8);
  // Between two edges of light nothing changes; what an edge changes is worked out from all stretches.
  let edge = from as number;
  for (let utc = from as number; utc < until; utc++) {
    if (utc === edge) {
      const ahead = all.flat().flatMap((one) => [one.from, one.until].filter((at) => at > utc));
      edge = ahead.reduce((least, at) => Math.min(least, at), Number.POSITIVE_INFINITY);
      all.forEach((lit, output) => {
        const on = lit.filter((one) => one.from <= utc && utc < one.until);
        levels[output] = on.reduce((most, { byte }) => Math.max(most, byte), 0);
      });
    }
    yield { utc, levels };
  }
}

/**
 * Work of many zones as few lines: what is alike on one day is one entry, by
 * zones and counts.
 *
 * Always holds: every entry is in exactly one group; a group's bags are those of
 * its entries.
 */

import { list } from '../../words/lists.ts';
import type { WorkItem } from './work.ts';

/** So many entries are still read one by one; more are put together. */
export const ENTRIES_MAX = 24;
/** So many names of zones are still read. */
const ZONES_MAX = 6;

/** Entries alike but for their zones, in the order of the first of each. */
export function alikeWork(items: readonly WorkItem[]): (readonly WorkItem[])[] {
  const groups = new Map<string, WorkItem[]>();
  for (const item of items) {
    const { zone, places, bags, controller, ...alike } = item;
    const key = JSON.stringify(alike);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups.values()];
}

/** `S1a, S1b and S2a (150 bags)`; of many zones the first, the last and how many. */
export function zonesAndBags(group: readonly WorkItem[]): string {
  const zones = [...new Set(group.map(({ zone }) => zone))];
  const bags = group.reduce((sum, one) => sum + one.bags.length, 0);
  const count = bags === 1 ? '1 bag' : `${bags} bags`;
  if (zones.length <= ZONES_MAX) return `${list(zones)} (${count})`;
  return `${zones[0]} to ${zones.at(-1)} (${zones.length} zones, ${count})`;
}

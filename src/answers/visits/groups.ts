/**
 * Work of many zones as few lines: what is alike on one day is one entry, by
 * zones and counts.
 *
 * Always holds: every entry is in exactly one group; a group's bags are those of
 * its entries.
 */

import { list, shortList, stretches } from '../../words/lists.ts';
import type { WorkItem } from './work.ts';

/** So many entries are still read one by one; more are put together. */
export const ENTRIES_MAX = 24;
/** So many names of zones are still read. */
const ZONES_MAX = 6;

/** Entries alike but for their zones (and batches, where those are many too), in the order of the first of each. */
export function alikeWork(
  items: readonly WorkItem[],
  by: 'batch' | 'stage' = 'batch',
): (readonly WorkItem[])[] {
  const groups = new Map<string, WorkItem[]>();
  for (const item of items) {
    const { zone, places, bags, controller, ...alike } = item;
    // Bags that wait elsewhere are known by their batch alone.
    const isTogether = by === 'stage' && zone !== '';
    const key = JSON.stringify(isTogether ? { ...alike, batch: '' } : alike);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups.values()];
}

/** `S1a, S1b and S2a (150 bags)`; of many zones `S1 to S8 and S11 (9 zones, 450 bags)`, every one in it or, `short`, the first. */
export function zonesAndBags(group: readonly WorkItem[], length: 'whole' | 'short' = 'whole'): string {
  const zones = [...new Set(group.map(({ zone }) => zone))];
  const bags = new Set(group.flatMap((one) => one.bags)).size;
  const count = bags === 1 ? '1 bag' : `${bags} bags`;
  if (zones.length <= ZONES_MAX) return `${list(zones)} (${count})`;
  const names = length === 'short' ? shortList(zones) : list(stretches(zones));
  return `${names} (${zones.length} zones, ${count})`;
}

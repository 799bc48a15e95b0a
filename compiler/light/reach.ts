/**
 * Which lamps can reach a zone at all: told cheaply, so that only near pairs are traced.
 *
 * Always holds: a lamp is passed over only when it cannot give the zone 0.02 lx on any face,
 * or when more than three boards lie between (with bags on wire decks, three boards leave
 * about 0.02 lx of a lamp that gives 1,200 lx next to it).
 */

import { type Box, hull } from './headspace.ts';
import type { Scene, SceneLamp } from './scene.ts';

/** Light below this (lx, at best) is left out of the field. */
const TOO_WEAK = 0.02;

/** Most boards that light is followed through. */
const BOARDS_MOST = 3;

/** Whether a lamp can give the box 0.02 lx: it faces it, no solid board lies wholly between, it is near enough. */
export function mayReach(scene: Scene, lamp: SceneLamp, bounds: Box): boolean {
  if (!lamp.allRound && !faces(lamp, bounds)) return false;
  let squared = 0;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const gap = Math.max(0, bounds.lo[i] - lamp.bounds.hi[i], lamp.bounds.lo[i] - bounds.hi[i]);
    squared += gap * gap;
  }
  let best = lamp.peak / Math.max(squared, 1e-6);
  if (best < TOO_WEAK) return false;
  const both = hull(lamp.bounds, bounds);
  let boards = 0;
  for (const deck of scene.decks) {
    if (deck.rack !== lamp.rack || !liesBetween(deck, lamp.bounds, bounds, both)) continue;
    boards++;
    best *= deck.total;
    if (boards > BOARDS_MOST || best < TOO_WEAK) return false;
  }
  return true;
}

/** Whether every ray from one box to the other must cross the board. */
function liesBetween(deck: Box, a: Box, b: Box, both: Box): boolean {
  const level = (deck.lo[2] + deck.hi[2]) / 2;
  const splits = (a.lo[2] > level && b.hi[2] < level) || (b.lo[2] >= level && a.hi[2] < level);
  return (
    splits &&
    both.lo[0] >= deck.lo[0] &&
    both.hi[0] <= deck.hi[0] &&
    both.lo[1] >= deck.lo[1] &&
    both.hi[1] <= deck.hi[1]
  );
}

/** Whether some corner of the box lies before the lamp. */
function faces(lamp: SceneLamp, bounds: Box): boolean {
  let most = 0;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const axis = lamp.axis[i];
    most += axis > 0 ? axis * (bounds.hi[i] - lamp.bounds.lo[i]) : axis * (bounds.lo[i] - lamp.bounds.hi[i]);
  }
  return most > 1e-9;
}

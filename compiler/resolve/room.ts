/**
 * The temperature to keep: the room's, and a stage's own.
 */

import { celsius } from '../../shared/units.ts';
import type { ResolvedPlan, TemperatureBand } from '../plan/plan.ts';
import type { MapNode } from '../read/tree.ts';
import { ROOM } from './builtin.ts';
import type { Context } from './context.ts';

/** The temperature band; undefined when the plan has no `room`. */
export function resolveRoom(context: Context): ResolvedPlan['room'] {
  const room = context.map(context.root, 'room');
  if (!room) return undefined;
  if (context.has(room, 'keep')) return readKeep(context, room);
  context.assume('room.keep', context.told(ROOM), ROOM.confidence, ROOM.because);
  return { low: celsius(ROOM.value[0]), high: celsius(ROOM.value[1]) };
}

/** A stage's own band; undefined when it has none. What no room can keep beside the plan's `room` is told. */
export function resolveStageKeep(
  context: Context,
  map: MapNode,
  stage: string,
  room: ResolvedPlan['room'],
): TemperatureBand | undefined {
  const keep = context.has(map, 'keep') ? readKeep(context, map) : undefined;
  if (!keep || !room) return keep;
  if (keep.low > room.high || keep.high < room.low) {
    const facts = { stage, low: keep.low, high: keep.high, roomLow: room.low, roomHigh: room.high };
    const whole = context.map(context.root, 'room');
    context.report(
      'room-stage-apart',
      context.spanOf(map, 'keep'),
      facts,
      whole && context.spanOf(whole, 'keep'),
    );
  }
  return keep;
}

function readKeep(context: Context, map: MapNode): TemperatureBand | undefined {
  const keep = context.pair(map, 'keep', (node) => context.quantityOf(node, 'temperature'));
  if (!keep) return undefined;
  if (keep[0] >= keep[1]) {
    context.report('value-order', context.spanOf(map, 'keep'), { key: 'keep', from: keep[0], to: keep[1] });
  }
  return { low: celsius(keep[0]), high: celsius(keep[1]) };
}

/** The logged room against the bands of stages; °C = (°F − 32) · 5/9. */

import { describe, expect, it } from 'vitest';
import { civilDay } from '../../../../shared/units.ts';
import type { RoomDay } from '../../../../src/answers/review/review.ts';
import { roomByStage, stageRoomWords } from '../../../../src/answers/review/room-by-stage.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

/** In zones A and C, wake from 16 March and climb from 30 March 2026; B and D three weeks later. */
const plan = planOf(
  sampleText('pantry')
    .replace('lean: upright }', 'lean: upright, keep: [15 C, 18 C] }')
    .replace('      lift: { every: 3 d', '      keep: [20 C, 24 C]\n      lift: { every: 3 d'),
);
const FIRST = day('2026-03-28');

/** Zones A and B from 28 March on, a room's least and most a day. */
function found(...rooms: [min: number, max: number][]) {
  const days = rooms.flatMap((_, i) =>
    [
      [0, 0],
      [1, 1],
    ].map(([zone = 0, batch = 0]) => ({ zone, batch, day: civilDay(FIRST + i) })),
  );
  const room = rooms.map(
    ([min, max], i): RoomDay => ({
      ...{ day: civilDay(FIRST + i), controller: 'pantry', min, mean: (min + max) / 2, max },
      outsideMinutes: 0,
    }),
  );
  return roomByStage(plan, { room }, days).map(({ zone, stage, days: count, min, max }) => [
    ...[zone, stage, count, min, max],
  ]);
}

describe('the room in the time of a stage', () => {
  it('is held against that stage’s band, zone by zone', () => {
    // A wakes until 29 March and climbs from the 30th; B is dark all the time and has the room's 21 to 27 °C.
    expect(found([16, 17], [15, 19], [20, 23], [19, 22], [21, 25.5])).toEqual([
      [1, 'colonise', 4, 15, 23],
      [0, 'wake', 1, 15, 19],
      [0, 'climb', 2, 19, 25.5],
    ]);
  });

  it('counts no day that was outside by less than the records are rounded', () => {
    const inA = (...rooms: [number, number][]) => found(...rooms).filter(([zone]) => zone === 0);
    expect(inA([15, 18])).toEqual([]);
    expect(inA([14.5, 18])).toHaveLength(1);
    expect(inA([15, 18.5])).toHaveLength(1);
  });

  it('is not told again where the board has the same band', () => {
    const plain = planOf(sampleText('pantry'));
    const room: RoomDay[] = [
      { day: FIRST, controller: 'pantry', min: 5, mean: 5, max: 5, outsideMinutes: 1440 },
    ];
    expect(roomByStage(plain, { room }, [{ zone: 0, batch: 0, day: FIRST }])).toEqual([]);
  });

  it('is said in the units of the plan', () => {
    const one = {
      ...{ zone: 0, stage: 'climb', days: 3, min: 16.5, max: 26.5 },
      band: { low: 18.333, high: 26.667 } as Parameters<typeof stageRoomWords>[0]['band'],
    };
    expect(stageRoomWords(one, 'us')).toBe(
      'the room outside the 65 to 80 °F of climb on 3 days (62 to 80 °F)',
    );
    expect(stageRoomWords({ ...one, days: 1 }, 'metric')).toBe(
      'the room outside the 18.3 to 26.7 °C of climb on 1 day (16.5 to 26.5 °C)',
    );
  });
});

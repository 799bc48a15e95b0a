/** Any mixture of happenings that the log tells of is replayed to the day's proof, and to the lamps' own seconds. */

import fc from 'fast-check';
import { beforeAll, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { replay } from '../../../../src/answers/review/replay.ts';
import { flashedCrc } from '../../../../src/archive/flashed.ts';
import { boards, day, sampleText } from '../visits/plan.ts';
import { type Happening, SimWorld } from './world.ts';

const DAY = 86_400;
const BEGIN = day('2026-03-27') * DAY + 5 * 3600;
const DAYS = 6;
let table: Uint8Array;
beforeAll(() => {
  table = itemAt(compilePlan(sampleText('pantry'), { boards }).tables, 0).encoded.bytes;
});

const second = fc.integer({ min: 60, max: DAYS * DAY - 60 });
const output = fc.integer({ min: 1, max: 8 });

/** One thing that happens; a power cut is two. */
const happening: fc.Arbitrary<Happening[]> = fc.oneof(
  fc.tuple(second, fc.integer({ min: 3, max: 20 * 3600 })).map(([at, length]) => [
    { at: BEGIN + at, act: (world: SimWorld) => world.device.setPower(false) },
    { at: BEGIN + at + length, act: (world: SimWorld) => world.device.setPower(true) },
  ]),
  fc
    .tuple(second, output, fc.boolean())
    .map(([at, which, on]) => [{ at: BEGIN + at, act: (world: SimWorld) => world.hand(which, on) }]),
  fc.tuple(second, fc.integer({ min: 0, max: 255 })).map(([at, mask]) => [
    // Function 15: eight coils at once, each in its own second.
    { at: BEGIN + at, act: (world: SimWorld) => world.request([15, 0, 0, 0, 8, 1, mask]) },
  ]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.release() }]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.longPress() }]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.press() }]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.setClock() }]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.device.reset('external') }]),
  second.map((at) => [{ at: BEGIN + at, act: (world: SimWorld) => world.device.reset('watchdog') }]),
);

it('leaves no day unexplained', () => {
  fc.assert(
    fc.property(fc.array(happening, { maxLength: 12 }), fc.integer({ min: -80, max: 80 }), (all, drift) => {
      const world = new SimWorld(table, BEGIN, 23 * 16, drift);
      world.live(all.flat(), BEGIN + DAYS * DAY);
      world.device.setPower(true);
      world.runTo(BEGIN + (DAYS + 2) * DAY);
      world.readLog();
      const crc = flashedCrc(table);
      const records = world.records();
      const story = replay({
        records,
        tables: new Map([[crc, table]]),
        before: crc,
        lostBefore: false,
        outputs: 8,
        readUntil: undefined,
      });
      expect(story.proofs.filter((one) => one.result !== 'proved')).toEqual([]);
      expect(story.lost).toEqual([]);
    }),
    { numRuns: Number(process.env.LEANWARD_RUNS ?? 60), seed: 20260327 },
  );
});

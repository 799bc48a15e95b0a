/**
 * Seeded seasons of 26 weeks whose log is read never, once, three or twelve
 * times: what the review says was delivered is what the lamps truly gave,
 * wherever the records that are left allow it, and unknown elsewhere.
 *
 * The truth is the simulated controller's own pins, second by second, which
 * the log does not hold.
 */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { firstInstant } from '../../../../compiler/plan/utc-offsets.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import type { ReviewedDay } from '../../../../src/answers/review/review.ts';
import { PlanLight } from '../../../../src/answers/review/zone-light.ts';
import { rememberTable } from '../../../../src/archive/flashed.ts';
import { commit, confirm, upload } from '../../../firmware-sim/controller/host.ts';
import { boards, day, sampleText } from '../visits/plan.ts';
import { type Farm, IDENTITY, keepRead, makeFarm, reviewFarm } from './farm.ts';
import { randomOf } from './random.ts';
import { type Happening, SimWorld } from './world.ts';

const DAY = 86_400;
const FIRST = day('2026-02-16');
const WEEKS = 26;
const END = (FIRST + 7 * WEEKS) * DAY;
const READS = [0, 1, 3, 12] as const;
/** A power cut is known to half a minute at its beginning, and each start's wait to some seconds; hours. */
const CLOSE = 0.05;

/** The pantry with a second pair of batches, so that 26 weeks are full; `every` is how long a side is held. */
const textOf = (every: number): string =>
  sampleText('pantry')
    .replace('every: 7 d }\n      lift', `every: ${every} d }\n      lift`)
    .replace(
      /\nvisits:/,
      '\n  second: { sealed: 2026-06-15, zones: [A, C], bag: tall, regime: antler }\n\nvisits:',
    );

function put(world: SimWorld, bytes: Uint8Array): void {
  const session = upload(world.device, bytes);
  expect(commit(world.device, session, bytes)).toBe(0);
  expect(confirm(world.device, session, bytes)).toBe(0);
}

interface Season {
  readonly farm: Farm;
  readonly world: SimWorld;
  readonly outages: number;
}

/** Lives through a season; `reads` readings of the log at any times, the last at its end. */
async function season(seed: number, reads: number): Promise<Season> {
  const random = randomOf(seed);
  const farm = await makeFarm(textOf(5));
  const first = itemAt(compilePlan(textOf(7), { boards }).tables, 0).encoded.bytes;
  await rememberTable(farm.archive, IDENTITY, first, 0);
  const world = new SimWorld(undefined, FIRST * DAY - 3600);
  const anyTime = (): number => (FIRST + 1) * DAY + Math.floor(random() * (7 * WEEKS - 4) * DAY);
  const happenings: Happening[] = [{ at: FIRST * DAY - 3000, act: (one) => put(one, first) }];
  const outages = Math.floor(random() * 6);
  for (let i = 0; i < outages; i++) {
    const at = anyTime();
    const length = 60 + Math.floor(random() ** 3 * 3 * DAY);
    happenings.push({ at, act: (one) => one.device.setPower(false) });
    happenings.push({ at: at + length, act: (one) => one.device.setPower(true) });
  }
  for (let i = 0; i < 4; i++) {
    const [at, output, on] = [anyTime(), 1 + Math.floor(random() * 8), random() < 0.5];
    happenings.push({ at, act: (one) => one.hand(output, on) });
    happenings.push({ at: anyTime(), act: (one) => one.longPress() });
    happenings.push({ at: anyTime(), act: (one) => one.device.reset('external') });
  }
  for (let week = 0; week < WEEKS; week++) happenings.push({ at: anyTime(), act: (one) => one.press() });
  // Half of the seasons change the plan half way.
  if (seed % 2 === 0) {
    happenings.push({
      at: (FIRST + 60 + Math.floor(random() * 40)) * DAY + 10 * 3600,
      act: (one) => {
        one.device.setPower(true);
        one.runTo(one.device.utc + 30);
        put(one, farm.table);
      },
    });
  }
  const moments = Array.from({ length: reads }, () => anyTime()).sort((a, b) => a - b);
  if (reads > 0) moments[reads - 1] = END - 1800;
  const damaged = seed % 3 === 0 ? damages(random) : [];
  for (const [i, until] of moments.entries()) {
    const from = moments[i - 1] ?? 0;
    world.live(
      happenings.filter((one) => one.at >= from && one.at < until),
      until,
    );
    world.readLog();
    for (const [first, last] of damaged)
      for (let sequence = first; sequence <= last; sequence++) world.read.delete(sequence);
    await keepRead(farm, world);
  }
  return { farm, world, outages };
}

/** Some stretches of sequence numbers that no reading ever gives: cells that went bad. */
function damages(random: () => number): [number, number][] {
  return Array.from({ length: 6 }, () => {
    const first = 2 + Math.floor(random() * 400);
    return [first, first + Math.floor(random() ** 3 * 30)];
  });
}

/** Hours of light of a zone's day by side, from the pins. */
function truthOf({ farm, world }: Season, light: PlanLight, one: ReviewedDay): Map<string, number> {
  const begin = firstInstant(farm.offsets, one.day, 0);
  const end = firstInstant(farm.offsets, one.day + 1, 0);
  const before = world.shown.findLast((shown) => shown.at <= begin)?.levels ?? new Uint8Array(8);
  const inside = world.shown.filter((shown) => shown.at > begin && shown.at < end);
  const edges = [{ at: begin as number, levels: before }, ...inside];
  const stay = sure(itemAt(farm.plan.batches, one.batch).zones.find((zone) => zone.zone === one.zone));
  const stage = stay.stages.find((stage) => stage.from <= one.day && one.day < stage.from + stage.days);
  const least = Math.max(5, (stage?.level?.[0] ?? 0) / 4);
  const hours = new Map<string, number>();
  for (const [i, { at, levels }] of edges.entries()) {
    const { lux, from } = light.at(one.zone, one.day, [levels]);
    if (lux < least) continue;
    hours.set(from, (hours.get(from) ?? 0) + ((edges[i + 1]?.at ?? end) - at) / 3600);
  }
  return hours;
}

const seeds = Array.from({ length: Number(process.env.LEANWARD_SEASONS ?? 12) }, (_, i) => i + 1);
const known = new Map<number, { known: number; planned: number }>();

it.each(seeds)('season %i is told as it was, or as unknown', async (seed) => {
  const reads = itemAt(READS, Math.floor(seed / 2) % READS.length);
  const lived = await season(seed, reads);
  const { farm } = lived;
  const review = await reviewFarm(farm, FIRST);
  const light = new PlanLight(farm.plan, [], {});
  const sum = known.get(reads) ?? { known: 0, planned: 0 };
  if (reads === 0) expect(review.days).toEqual([]);
  for (const one of review.days) {
    const truth = truthOf(lived, light, one);
    const lit = [...truth.values()].reduce((a, b) => a + b, 0);
    const told = Object.values(one.sides).reduce((total, side) => total + side.delivered, 0);
    const where = `zone ${one.zone}, day ${one.day - FIRST}, ${one.standing}`;
    expect(one.standing, where).not.toBe('unexplained');
    sum.planned += one.planned;
    sum.known += one.planned - one.unknown;
    if (one.unknown + one.unread === 0 && one.standing !== 'unknown') {
      for (const side of new Set([...truth.keys(), ...Object.keys(one.sides)])) {
        const told = one.sides[side]?.delivered ?? 0;
        const gave = truth.get(side) ?? 0;
        expect(Math.abs(told - gave), `${where}, ${side}: told ${told}, gave ${gave}`).toBeLessThan(CLOSE);
      }
    } else if (lit > 0.2 + one.extra) {
      // Where dark was planned, hours of dark that nobody can know of are what says unknown.
      const dark = one.darkPlanned - one.darkKept - one.extra - one.stray;
      expect(told + one.unknown + one.unread + dark, where).toBeGreaterThan(0);
    }
    expect(told, where).toBeLessThan(lit + CLOSE);
  }
  known.set(reads, sum);
  await farm.archive.close();
});

it('knows the more the oftener it is read', () => {
  const share = (reads: number): number => {
    const { known: hours, planned } = known.get(reads) ?? { known: 0, planned: 0 };
    return planned === 0 ? 0 : hours / planned;
  };
  const line = READS.map((reads) => `${reads}: ${(100 * share(reads)).toFixed(1)} %`).join(', ');
  console.info(`Share of planned light known, by readings in 26 weeks: ${line}`);
  expect(share(12)).toBeGreaterThan(0.9);
  expect(share(3)).toBeGreaterThan(0.8);
  expect(share(1)).toBeGreaterThan(0.4);
});

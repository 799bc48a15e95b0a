/** The likely lean at rates that were measured: heights of the grow book take the place of the plan's rate. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { civilDay } from '../../../../shared/units.ts';
import { zoneRates } from '../../../../src/answers/crop/zone-rates.ts';
import { LikelyLeans } from '../../../../src/answers/light/lean-now.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { entry, season } from '../crop/book.ts';

/** Two bags of zone A, 4 and 6 mm a day; one of zone B with a single height, which tells no rate. */
const HEIGHTS = [
  entry('spring-1', 'note', '2026-05-01', { heightMm: 20 }),
  entry('spring-1', 'note', '2026-05-11', { heightMm: 60 }),
  entry('spring-2', 'note', '2026-05-01', { heightMm: 10 }),
  entry('spring-2', 'note', '2026-05-11', { heightMm: 70 }),
  entry('spring-5', 'note', '2026-05-11', { heightMm: 50 }),
];

describe('heights in the grow book', () => {
  it('give each zone the mean of its bags, with room round it', () => {
    const found = zoneRates(season, HEIGHTS);
    expect(found.map(({ zone }) => zone)).toEqual(['A']);
    const { low, mid, high } = sure(found[0]);
    expect(mid).toBeCloseTo(5, 6);
    expect(low).toBeGreaterThan(0);
    expect(low).toBeLessThan(4);
    expect(high).toBeGreaterThan(6);
  });

  it('carry the likely tip so much higher, in their zone alone', () => {
    const { plan, timeline, ...rest } = compilePlan(samplePlan('pantry'), { boards: BOARDS, advise: false });
    const sound = { ...rest, plan: sure(plan), timeline: sure(timeline) };
    const rate = sound.plan.growth.rate;
    const twice = { low: rate.low * 2, mid: rate.mid * 2, high: rate.high * 2 };
    const plain = new LikelyLeans(sound);
    const measured = new LikelyLeans(sound, (zone) => (zone === 0 ? twice : undefined));
    const first = sure(
      plain.on(itemAt(timeline?.demands ?? [], 60).day).find(({ zones }) => zones.includes('A')),
    );
    const on = civilDay(first.firstDay + 9);
    const heightIn = (leans: LikelyLeans, zone: string): number =>
      sure(leans.on(on).find(({ zones }) => zones.includes(zone))).shape.height.mid;
    // What leans is a little lower than long.
    const ratio = heightIn(measured, 'A') / heightIn(plain, 'A');
    expect(ratio).toBeGreaterThan(1.7);
    expect(ratio).toBeLessThan(2.02);
    expect(heightIn(measured, 'C')).toBe(heightIn(plain, 'C'));
    expect(measured.on(on).find(({ zones }) => zones.includes('A'))?.measured).toEqual(twice);
  });
});

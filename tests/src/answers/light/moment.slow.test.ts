import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { SoundPlan } from '../../../../compiler/compiled.ts';
import { LevelSheets } from '../../../../compiler/light/level-sheet.ts';
import { blockHeight } from '../../../../compiler/plan/block-height.ts';
import { wallClock } from '../../../../compiler/plan/utc-offsets.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { civilDay, utcSeconds } from '../../../../shared/units.ts';
import { LevelMaps } from '../../../../src/answers/light/level-map.ts';
import {
  type KnownDays,
  rackMoment,
  type Shown,
  simulatedDay,
} from '../../../../src/answers/light/moment.ts';
import { cellsAt } from '../../../../src/page/shelf-above.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';

function soundPlan(name: string): SoundPlan {
  const compiled = compilePlan(samplePlan(name), { boards: BOARDS, advise: false });
  const { plan, timeline } = compiled;
  if (!plan || !timeline) throw new Error(`${name} has errors`);
  return { ...compiled, plan, timeline };
}

describe('the rack at a minute', () => {
  it.each(['pantry', 'wire-rack', 'smallest'])(
    'of %s: what the simulated controller shows gives each bag what the light report says of its stage',
    (name) => {
      const sound = soundPlan(name);
      const { plan, timeline } = sound;
      const first = sure(timeline.demands[0]);
      let compared = 0;
      for (const course of timeline.steered.courses) {
        // The middle of each stage's longest stretch, under one setting the whole time.
        const zone = itemAt(plan.zones, course.zone).name;
        const seen = new Set<number>();
        for (const step of course.steps) {
          const treatment = itemAt(timeline.steered.treatments, step.treatment);
          if (seen.has(step.treatment) || treatment.burning.length !== 1) continue;
          seen.add(step.treatment);
          const even = (step.from + step.to) / 2;
          const utc = utcSeconds(Math.round((even - first.span[0]) * 60 + startOf(sound)));
          const { day, minute } = wallClock(timeline.offsets, utc);
          const moment = rackMoment(sound, simulatedDay(sound, civilDay(day)), civilDay(day), minute);
          const found = sure(moment.zones.find((one) => one.zone === zone));
          found.bags.forEach((bag, n) => {
            const figures = itemAt(treatment.figures.bags, n);
            // The report leaves out lamps that are too far away to matter to the choice.
            expect(Math.abs(bag.level - figures.mean), `${zone} ${day} ${minute}`).toBeLessThan(0.1);
            if (figures.direction !== undefined) expect(bag.off).toBeCloseTo(figures.direction, 1);
            const sum = bag.shares.reduce((all, { share }) => all + share, 0);
            if (bag.level > 1) expect(sum).toBeCloseTo(1, 9);
          });
          compared += 1;
        }
      }
      expect(compared).toBeGreaterThan(3);
    },
  );

  it.each(['pantry', 'wire-rack'])(
    'of %s: the map of the level is that of the moment at the heights of its cells',
    (name) => {
      const sound = soundPlan(name);
      const { plan } = sound;
      const maps = new LevelMaps(sound, new LevelSheets(plan));
      const day = civilDay(sure(sound.timeline.demands[0]).day + 60);
      const runs = simulatedDay(sound, day);
      for (const minute of [180, 720, 1300]) {
        const { zones } = rackMoment(sound, runs, day, minute);
        for (const { zone, bags } of zones) {
          const { shelf } = sure(plan.zones.find((one) => one.name === zone));
          const kind = itemAt(plan.bags, 0);
          for (const layer of [0, 4]) {
            const block = blockHeight(kind);
            const map = maps.at(
              runs,
              day,
              minute,
              shelf,
              block + ((kind.height - block) * (layer + 0.5)) / 5,
            );
            for (const { bag, points } of bags) {
              const cells = sure(map.bags.get(bag));
              for (const [n, level] of cells.entries())
                expect(Math.abs(level - itemAt(points, 9 * layer + n)), `${bag} ${n}`).toBeLessThan(0.3);
            }
            expect(map.open.length).toBeGreaterThan(50);
          }
        }
      }
    },
  );

  it('tells the share of each lamp, also of two on one output', () => {
    // Both lamps of A hang on one output: they burn together, one at either side of its bags.
    const text = samplePlan('pantry')
      .replace('output: pantry/2', 'output: pantry/1')
      .replace(/(A-right:.*flux: )480 lm/, '$1160 lm');
    const compiled = compilePlan(text, { boards: BOARDS, advise: false });
    const sound = { ...compiled, plan: sure(compiled.plan), timeline: sure(compiled.timeline) };
    const day = civilDay(sure(sound.timeline.demands[0]).day + 30);
    const { burning, zones } = rackMoment(sound, simulatedDay(sound, day), day, 720);
    expect(burning).toEqual(expect.arrayContaining(['A-left', 'A-right']));
    for (const { shares } of sure(zones.find(({ zone }) => zone === 'A')).bags) {
      expect(shares.map(({ from }) => from)).toEqual(['A-left', 'A-right']);
      // Three times the lumens from about as far: three quarters.
      expect(Math.abs(sure(shares[0]).share - 0.75)).toBeLessThan(0.06);
      expect(shares.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
    }
  });

  it('shows the level between the layers that were worked out, and none in the block', () => {
    const bag = sure(soundPlan('pantry').plan.bags[0]);
    const points = Array.from({ length: 45 }, (_, n) => Math.floor(n / 9) * 100 + (n % 9));
    const block = 141.025641;
    const layer = (bag.height - block) / 5;
    expect(cellsAt(bag, points, 100)).toEqual([]);
    expect(cellsAt(bag, points, block + layer / 2)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
    expect(cellsAt(bag, points, block + layer)[4]).toBeCloseTo(54, 6);
    expect(cellsAt(bag, points, bag.height)[8]).toBe(408);
    expect(cellsAt(bag, points, bag.height + 1)).toEqual([]);
  });
});

/** The instant of the first day's midnight, s. */
function startOf({ timeline }: SoundPlan): number {
  const { day } = sure(timeline.demands[0]);
  const quarters = timeline.offsets.initialQuarters;
  return day * 86_400 - quarters * 900;
}

describe('a day that was simulated', () => {
  it('is not simulated again where only remarks of the text changed; it is where light did', () => {
    const known: KnownDays = new Map();
    const shown = (text: string): readonly Shown[] => {
      const { plan, timeline, ...rest } = compilePlan(text, { boards: BOARDS, advise: false });
      const sound = { ...rest, plan: sure(plan), timeline: sure(timeline) };
      const day = civilDay(itemAt(sound.timeline.demands, 60).day);
      const told = simulatedDay(sound, day, known);
      expect(told).toEqual(simulatedDay(sound, day));
      return told;
    };
    const text = samplePlan('pantry');
    const before = shown(text);
    const size = known.size;
    const remarked = shown(`${text}# a remark\n`);
    expect(known.size).toBe(size);
    expect(remarked.map(({ trace }) => trace)).toEqual(before.map(({ trace }) => trace));
    const later = shown(text.replaceAll('start: 08:00', 'start: 09:00'));
    expect(known.size).toBeGreaterThan(size);
    expect(later.map(({ trace }) => trace)).not.toEqual(before.map(({ trace }) => trace));
  });
});

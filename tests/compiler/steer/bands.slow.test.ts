/**
 * The ranges on verdicts, against whole compilations of the rack as it might be: other flux,
 * other film, another density, traced anew.
 */

import { describe, expect, it } from 'vitest';
import { bandsOf } from '../../../compiler/advice/bands.ts';
import { stageReports } from '../../../compiler/advice/stage-report.ts';
import { compilePlan } from '../../../compiler/compile.ts';
import { lightField } from '../../../compiler/light/field.ts';
import { FORWARD, USUAL_FILM } from '../../../compiler/light/film.ts';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { LEVEL } from '../../../compiler/solve/score.ts';
import { type Figures, zoneFigures } from '../../../compiler/steer/figures.ts';
import type { Treatment } from '../../../compiler/steer/treatment.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { lumens } from '../../../shared/units.ts';
import { whyLines } from '../../../src/answers/check/lamps.ts';
import { lampLines } from '../../../src/answers/light/why-text.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

// Film and density left open, as most plans leave them.
const OPEN = samplePlan('pantry')
  .replace(/, film: \{[^}]*\}/, '')
  .replace(/, density: [0-9.]+ kg\/L/, '');

function compiled(text: string) {
  const { plan, timeline } = compilePlan(text, { boards: BOARDS, advise: false });
  return { plan: sure(plan), timeline: sure(timeline) };
}

/** A treatment's figures on a changed rack, with the same lamps burning. */
function figuresOn(
  plan: ResolvedPlan,
  { zone, firstDay, ask, burning, background }: Treatment,
  film = USUAL_FILM,
): Figures {
  const field = lightField(plan, { film });
  return zoneFigures(sure(field.zone(bagsOn(plan, firstDay), zone)), ask, burning, background);
}

const withBag = (plan: ResolvedPlan, change: Partial<ResolvedPlan['bags'][number]>): ResolvedPlan => ({
  ...plan,
  bags: plan.bags.map((bag) => ({ ...bag, ...change })),
});

describe('the ranges of a treatment', () => {
  const { plan, timeline } = compiled(OPEN);
  const lit = timeline.steered.treatments.filter(({ ask, zone }) => ask.kind === 'lit' && zone === 0);

  it('hold the figures of the rack with another film, traced anew, to a few hundredths', () => {
    expect(lit.length).toBeGreaterThan(2);
    for (const treatment of lit) {
      const bands = sure(bandsOf(plan, treatment));
      const others = [
        figuresOn(withBag(plan, { film: { passes: 0.67, scatters: 0.78 } }), treatment),
        figuresOn(withBag(plan, { film: { passes: 0.9, scatters: 0.5 } }), treatment),
        figuresOn(plan, treatment, { ...USUAL_FILM, forward: FORWARD.low }),
        figuresOn(plan, treatment, { ...USUAL_FILM, forward: FORWARD.high }),
      ];
      for (const { level, contrast, imbalance } of [treatment.figures, ...others]) {
        expect(level.low).toBeGreaterThan(bands.level[0]);
        expect(level.high).toBeLessThan(bands.level[1]);
        if (contrast !== undefined) {
          expect(contrast).toBeGreaterThan(sure(bands.contrast)[0] * 0.97);
          expect(contrast).toBeLessThan(sure(bands.contrast)[1] * 1.03);
        } else expect(imbalance).toBeLessThan(bands.balance[1] * 1.03);
      }
    }
  });

  it('hold the figures with lamps at either end of their labels, and a lighter or denser block', () => {
    for (const treatment of lit) {
      const bands = sure(bandsOf(plan, treatment));
      const lamps = (flux: (n: number) => number): ResolvedPlan => ({
        ...plan,
        lamps: plan.lamps.map((lamp, n) => ({ ...lamp, flux: lumens(lamp.flux * flux(n)) })),
      });
      const others = [
        lamps(() => 0.9),
        lamps(() => 1.1),
        lamps((n) => (n % 2 === 0 ? 0.9 : 1.1)),
        lamps((n) => (n % 2 === 0 ? 1.1 : 0.9)),
        withBag(plan, { density: 0.55 }),
        withBag(plan, { density: 0.8 }),
      ].map((one) => figuresOn(one, treatment));
      for (const { level, imbalance, direction } of others) {
        expect(level.low).toBeGreaterThan(bands.level[0]);
        expect(level.high).toBeLessThan(bands.level[1]);
        if (bands.off) expect(sure(direction)).toBeLessThan(bands.off[1] + 1.5);
        else expect(imbalance).toBeLessThan(bands.balance[1] * 1.05);
      }
    }
  });
});

describe('a verdict nearer to its limit than its range', () => {
  const look = (low: number) => {
    const { plan, timeline } = compiled(
      samplePlan('pantry').replace('level: [300 lx, 2000 lx]', `level: [${low} lx, 2000 lx]`),
    );
    const course = itemAt(timeline.steered.courses, 0);
    const stages = stageReports(plan, timeline.field, timeline.steered.treatments, course);
    return sure(stages.find(({ asks }) => typeof asks === 'number'));
  };
  it('says that it may be missed, and is silent well inside', () => {
    const level = look(300).level.mean;
    expect(look(Math.round(level / 2)).mayMiss).not.toContain('level');
    const near = look(Math.round(level * 0.97));
    expect(near.met).toBe(true);
    expect(near.mayMiss).toContain('level');
    expect(lampLines([near], []).join(' ')).toContain(
      `lx (the plan asks for ${Math.round(level * 0.97)} to 2000 lx)`,
    );
    expect(look(Math.round(level * 1.03))).toMatchObject({ met: false });
  });
  it('is told by check before its findings', () => {
    const result = compilePlan(OPEN, { boards: BOARDS, advise: false });
    expect(whyLines(result).join('\n')).toMatch(
      /ripen, upright: .*May miss: opposite sides 1\.\d to 2\.\d : 1 \(2 : 1 allowed\)\./,
    );
  });
});

describe('levels that are not proven the best', () => {
  it('say so, with the first want another setting might meet better', () => {
    const { plan, timeline } = compiled(samplePlan('pantry'));
    const { treatments, courses } = timeline.steered;
    const open = treatments.map((one) => ({ ...one, gap: { part: LEVEL, by: 3 } }));
    const lines = (all: readonly Treatment[]) =>
      lampLines(stageReports(plan, timeline.field, all, itemAt(courses, 0)), []).join(' ');
    expect(lines(treatments)).not.toContain('not settled');
    expect(lines(open)).toContain('not settled (the level inside its band: at most 3 steps)');
  });
});

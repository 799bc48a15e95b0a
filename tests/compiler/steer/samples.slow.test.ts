/**
 * The sample plans, as read from their text: what they are to show about light.
 */

import { beforeAll, describe, expect, it } from 'vitest';
import { faultsOf } from '../../../compiler/advice/fault.ts';
import { type LightReport, lightReport } from '../../../compiler/advice/light-report.ts';
import { remediesFor } from '../../../compiler/advice/remedies-for.ts';
import { compilePlan } from '../../../compiler/compile.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { drawRack, lightText } from '../../../src/answers/light/text.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';

function look(name: string) {
  const { plan, timeline, findings } = compilePlan(samplePlan(name), { boards: BOARDS });
  const { field, steered } = sure(timeline);
  const light = findings.filter(({ code }) => /^(light|photometry)-/.test(code));
  return { light, report: lightReport(sure(plan), field, steered), plan: sure(plan) };
}

const leaning = (report: LightReport) =>
  report.zones.flatMap(({ stages }) => stages.filter(({ asks }) => typeof asks === 'number'));

describe('pantry', () => {
  let seen: ReturnType<typeof look>;
  beforeAll(() => {
    seen = look('pantry');
  });
  it('has no finding about light, but that it is as bright as for caps', () =>
    expect(new Set(seen.light.map(({ code }) => code))).toEqual(new Set(['light-cap-range'])));
  it('meets every swing: at most 10° off, at least 5 : 1', () => {
    const stages = leaning(seen.report);
    expect(stages).toHaveLength(8);
    for (const { off, contrast, met } of stages) {
      expect(sure(off)).toBeLessThanOrEqual(10);
      expect(sure(contrast)).toBeGreaterThanOrEqual(5);
      expect(met).toBe(true);
    }
  });
  it('is upright within 2 : 1 and dark within 5 lx', () => {
    const all = seen.report.zones.flatMap(({ stages }) => stages);
    for (const stage of all) {
      if (stage.asks === 'upright') expect(stage.balance).toBeLessThanOrEqual(2);
      if (stage.asks === 'dark') expect(stage.level.brightest).toBeLessThanOrEqual(5);
    }
  });
  it('counts energy as watts times hours', () => {
    for (const { watts, hours, kWh } of seen.report.outputs)
      expect(kWh).toBeCloseTo((watts * hours) / 1000, 3);
    expect(seen.report.kWh).toBeCloseTo(26.32, 2);
  });
  it('gives lux-hours as level times hours', () => {
    const climb = itemAt(leaning(seen.report), 0);
    expect(climb.luxHoursPerDay / (climb.level.mean * climb.hoursPerDay)).toBeCloseTo(1, 2);
    expect(climb.molPerDay).toBeCloseTo((climb.luxHoursPerDay * 3600) / 70e6, 2);
  });
  it('estimates the lean and says that it is one', () => {
    for (const { likelyLean } of seen.report.zones) {
      expect(sure(likelyLean).estimate).toBe(true);
      expect(itemAt(sure(likelyLean).days, 0).angleLow).toBeLessThanOrEqual(
        itemAt(sure(likelyLean).days, 0).angle,
      );
      expect(itemAt(sure(likelyLean).days, 0).angle).toBeLessThanOrEqual(
        itemAt(sure(likelyLean).days, 0).angleHigh,
      );
      expect(Math.abs(sure(sure(likelyLean).swing).halved)).toBeLessThan(
        Math.abs(sure(sure(likelyLean).swing).drift) / 2,
      );
    }
  });
  it('tells each turn of the swing by itself, and over all its days', () => {
    const climb = itemAt(leaning(seen.report), 0);
    expect(climb.days).toBe(28);
    expect(climb.runs.map(({ from, days }) => [from, days])).toEqual([
      ['2026-03-30', 7],
      ['2026-04-13', 7],
      ['2026-04-27', 7],
      ['2026-05-11', 7],
    ]);
    expect(climb.runs.map(({ level }) => level)).toEqual(climb.runs.map(() => climb.level));
    expect(itemAt(seen.report.zones, 0).darkStages).toEqual(['colonise']);
  });
  it('is plain data', () =>
    expect(JSON.parse(JSON.stringify(seen.report))).toEqual(JSON.parse(JSON.stringify(seen.report))));
  it('is drawn from above: lamps, bags, screens and pulls, never wider than 76 columns', () => {
    const drawing = drawRack(seen.report);
    for (const bag of ['A-1', 'A-2', 'B-1', 'B-2', 'C-1', 'C-2', 'D-1', 'D-2'])
      expect(drawing).toContain(`[${bag}]`);
    expect(drawing).toContain('#');
    expect(drawing).toContain('← →');
    for (const line of drawing.split('\n')) expect(line.length).toBeLessThanOrEqual(76);
    expect(lightText(seen.report)).toContain('an estimate');
    expect(lightText(seen.report)).not.toMatch(/undefined|NaN/);
  });
});

describe('pantry-open', () => {
  it('warns with lamp, figures and a remedy that clears it', () => {
    const { light } = look('pantry-open');
    const lean = ofCode(light, 'light-lean');
    expect(lean).toHaveLength(4);
    // With film that scatters forward: 13.4° and 7.7 : 1 with B-right also on, where even scatter gave 12.8° and 4.8 : 1.
    expect(itemAt(lean, 0).facts).toMatchObject({
      zone: 'A',
      side: 270,
      off: 13.4,
      cleared: true,
      screenAt: 600,
    });
    const { facts } = itemAt(lean, 0);
    expect(facts.contrast).toBeCloseTo(7.7, 0);
    expect(facts.offAfter).toBeLessThanOrEqual(10);
    expect(facts.contrastAfter).toBeGreaterThanOrEqual(5);
    const leak = ofCode(light, 'light-in-dark').find(
      ({ facts: of }) => of.zone === 'B' && of.by?.includes('A-left'),
    );
    expect(leak?.facts).toMatchObject({ cleared: true, leakAfter: 0 });
    expect(leak?.facts.leak).toBeCloseTo(51.5, 0);
  });
});

describe('wire-rack', () => {
  it('prints its figures and explains them: the shop’s light, and ends of rows', () => {
    const { light, report } = look('wire-rack');
    const lean = ofCode(light, 'light-lean');
    expect(lean.length).toBeGreaterThan(0);
    expect(lean.some(({ facts }) => facts.emptyEnds === true)).toBe(true);
    expect(light.filter(({ code }) => code === 'light-in-dark')).toHaveLength(1);
    // With the shop's light and without it: the hours of the whole day.
    const front = itemAt(leaning(report), 0).lamps.find(({ hours }) => hours > 0);
    expect(front).toMatchObject({ hours: 12, leastHours: 12, mostHours: 12 });
    for (const { level, off } of leaning(report)) {
      expect(level.mean).toBeGreaterThan(200);
      expect(sure(off)).toBeLessThan(20);
    }
  });
});

describe('another flux', () => {
  it('is not aimed at bags lit from another side, nor offered in lamps of another side', () => {
    const { plan, timeline } = compilePlan(samplePlan('pantry').replaceAll('flux: 480 lm', 'flux: 150 lm'), {
      boards: BOARDS,
    });
    const { field, steered } = sure(timeline);
    const treatment = sure(
      steered.treatments.find(({ ask }) => ask.kind === 'lit' && ask.side?.azimuth === 270),
    );
    const fault = sure(faultsOf(treatment).find(({ kind }) => kind === 'level'));
    const offered = remediesFor(sure(plan), field, treatment, fault);
    expect(offered).toHaveLength(1);
    const [flux] = itemAt(offered, 0);
    expect(flux).toMatchObject({ kind: 'flux', lamps: [0] });
    // The same with one bag hardly lit, and from behind.
    const [first, ...rest] = treatment.figures.bags;
    const astray = { ...sure(first), mean: 1, direction: 170, reached: false };
    const figures = { ...treatment.figures, bags: [astray, ...rest] };
    expect(remediesFor(sure(plan), field, { ...treatment, figures }, fault)).toEqual(offered);
  });
});

describe('bags turned by hand', () => {
  it('lean to both sides with one lamp: the pull turns with the bag', () => {
    const text = samplePlan('pantry')
      .replaceAll(/^ {2}[A-D]-right:.*\n/gm, '')
      .replace('{ sway: [left, right], every: 7 d }', '{ sway: [left, right], every: 7 d, by: turning }')
      .replaceAll('lean: upright', 'lean: { hold: left }');
    const { plan, timeline, findings } = compilePlan(text, { boards: BOARDS });
    expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    const report = lightReport(sure(plan), sure(timeline).field, sure(timeline).steered);
    const { days } = sure(itemAt(report.zones, 0).likelyLean);
    // After each second turn the growth has come back toward upright.
    expect(itemAt(days, 1).angle).toBeLessThan(itemAt(days, 0).angle / 2);
  });
});

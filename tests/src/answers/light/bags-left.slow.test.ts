/** The light of the bags that are left once others were taken out. */

import { describe, expect, it } from 'vitest';
import { lightReport } from '../../../../compiler/advice/light-report.ts';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { withoutBags } from '../../../../src/answers/book/culls.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { FieldsLeft, steeredForBagsLeft } from '../../../../src/answers/light/bags-left.ts';
import { PlanLight } from '../../../../src/answers/review/zone-light.ts';
import { boards, day, sampleText } from '../visits/plan.ts';

const TEXT = sampleText('pantry-open').replace(
  /\nvisits:/,
  '\n  second: { sealed: 2026-06-15, zones: [A, C], bag: tall, regime: antler }\n\nvisits:',
);
const compiled = compilePlan(TEXT, { boards });
const plan = sure(compiled.plan);
const { steered, field } = sure(compiled.timeline);
const cull = (bag: string, iso: string, batch = 'early'): Note => ({
  ...{ id: bag, plan: 'pantry', batch, zone: bag.slice(0, 1), bag, day: day(iso), writtenMs: 0 },
  ...{ kind: 'cull', why: 'mould' },
});

describe('figures after a bag was taken out', () => {
  const notes = [cull('A2', '2026-04-08')];
  const left = steeredForBagsLeft(plan, steered, notes, {});
  const stages = (which: typeof steered) =>
    sure(lightReport(plan, field, which).zones.find((one) => one.zone === 'A' && one.batch === 'early'))
      .stages;

  it('are those of the bags left: what the worst gets is no less than before', () => {
    const [before, after] = [stages(steered), stages(left)];
    expect(after.map((one) => one.stage)).toEqual(before.map((one) => one.stage));
    const climb = after.findIndex((one) => one.stage === 'climb' && one.asks === 90);
    expect(itemAt(after, climb).off).not.toBe(itemAt(before, climb).off);
    // Nothing stands behind A1 any more, so what it gets is at least what it got.
    expect(itemAt(after, climb).level.mean).toBeGreaterThanOrEqual(itemAt(before, climb).level.mean);
  });

  it('name the bags that stood there then, not those of today', () => {
    // The report is asked for on the day after a bag went: the rack that is drawn has one bag less.
    const late = [cull('A1', '2026-04-08')];
    const today = withoutBags(plan, bagLives(plan, late), day('2026-04-09'));
    const report = lightReport(today, field, steeredForBagsLeft(plan, steered, late, {}));
    const zone = sure(report.zones.find((one) => one.zone === 'A' && one.batch === 'early'));
    const named = zone.stages.map(({ stage, bags }) => [stage, bags.map(({ bag }) => bag)]);
    expect(named).toContainEqual(['wake', ['A-1', 'A-2']]);
    expect(named).toContainEqual(['ripen', ['A-2']]);
  });

  it('leave alone what was over by then, other batches, and the blocks', () => {
    expect(stages(left)[0]).toEqual(stages(steered)[0]);
    expect(left.days).toBe(steered.days);
    const second = (which: typeof steered) =>
      lightReport(plan, field, which).zones.find((one) => one.batch === 'second' && one.zone === 'A');
    expect(second(left)).toEqual(second(steered));
  });

  it('are the compiler’s own where nothing was taken out', () => {
    expect(steeredForBagsLeft(plan, steered, [], {})).toBe(steered);
    // Worked out anew with a cull that concerns another time, the figures come out equal.
    const again = steeredForBagsLeft(plan, steered, [cull('A2', '2027-01-01')], {});
    expect(again.treatments.map((one) => one.figures)).toEqual(steered.treatments.map((one) => one.figures));
  });
});

describe('the review’s light', () => {
  const levels = [new Uint8Array([255, 0, 0, 0, 0, 0, 0, 0])];

  it('gives the next batch all its bags, although one of the last was taken out', () => {
    const light = new PlanLight(plan, [cull('A2', '2026-04-08')], {});
    const whole = new PlanLight(plan, [], {});
    expect(light.at(0, day('2026-04-20'), levels).lux).not.toBe(whole.at(0, day('2026-04-20'), levels).lux);
    expect(light.at(0, day('2026-08-01'), levels)).toEqual(whole.at(0, day('2026-08-01'), levels));
  });

  it('shines as the lamps’ photometric files say', () => {
    const name = 'lamp.ies';
    // Made for this test: LM-63, type C, light within 20° of the axis alone.
    const text = [
      'IESNA:LM-63-2002',
      'TILT=NONE',
      '1 500 1 4 1 1 2 0 0.41 0',
      '1 1 5',
      '0 20 21 90',
      '0',
      '1300 1300 0 0',
      '',
    ].join('\r\n');
    const named = TEXT.replace(/(A-left: .*flux: 400 lm)/, `$1, photometry: ${name}`);
    expect(named).toContain(name);
    const other = compilePlan(named, { boards, photometry: { [name]: text } });
    const lit = new PlanLight(sure(other.plan), [], { [name]: text }).at(0, day('2026-04-20'), levels).lux;
    const drawn = new PlanLight(sure(other.plan), [], {}).at(0, day('2026-04-20'), levels).lux;
    const block = sure(sure(other.timeline).field.zone([0, 0, 0, 0], 0));
    const own = new FieldsLeft(sure(other.plan), [], { [name]: text }).on(day('2026-04-20')).field;
    expect(own.zone([0, 0, 0, 0], 0)).toEqual(block);
    expect(lit).toBeGreaterThan(1.2 * drawn);
  });
});

/** What `light` says of a large rack fits a screen; what it leaves out is counted. */

import { describe, expect, it } from 'vitest';
import { type LightReport, lightReport } from '../../../../compiler/advice/light-report.ts';
import { compilePlan } from '../../../../compiler/compile.ts';
import { sure } from '../../../../shared/assert.ts';
import { isLongReport, shortLightText } from '../../../../src/answers/light/short.ts';
import { BOARDS as boards } from '../../../support/boards.ts';
import { rackText } from '../../../support/racks.ts';

const text = rackText({ zones: 14, bags: [1, 1], beside: 1 });
const { plan, timeline } = compilePlan(text, { boards, advise: false });
const { field, steered } = sure(timeline);
const alike = lightReport(sure(plan), field, steered);
const shortOf = (report: LightReport): string => shortLightText(sure(plan), report);

describe('the light of a large rack', () => {
  it('is told once for zones that are alike, whatever their days', () => {
    expect(isLongReport(alike)).toBe(true);
    const text = shortOf(alike);
    expect(text.split('\n').length).toBeLessThanOrEqual(50);
    expect(text).toMatch(/^.*zones.*, batches .*; the days are those of b\d+$/m);
    expect(text).toContain('the lamp at the front on 12 h a day');
    expect(text).not.toMatch(/about 0 in/);
  });

  it('says whose days are told where they differ within one batch, and nothing where they do not', () => {
    const zones = alike.zones.map((zone) => ({ ...zone, batch: 'b1' }));
    expect(shortOf({ ...alike, zones })).toMatch(
      /^All 14 zones .*, batch b1; the days are those of zone S1a$/m,
    );
    const sameDay = compilePlan(text.replace(/sealed: [\d-]+/g, 'sealed: 2026-02-05'), {
      boards,
      advise: false,
    });
    const { field, steered } = sure(sameDay.timeline);
    expect(shortOf(lightReport(sure(sameDay.plan), field, steered))).toMatch(
      /^All 14 zones .*, batches b1[^;]*$/m,
    );
  });

  it('of a rack without lamps speaks of none', () => {
    expect(shortOf({ ...alike, outputs: [] })).toMatch(
      /^The plan has no lamps\. `--all` draws the shelves\.$/m,
    );
    expect(shortOf(alike)).toMatch(
      /so the energy is not known\. `--all` lists each output and draws the shelves\.$/m,
    );
  });

  it('is told of some zones where all are unlike, and of the others what is wrong', () => {
    const zones = alike.zones.map((zone, n) => ({
      ...zone,
      stages: zone.stages.map((stage) => ({
        ...{ ...stage, met: n % 2 === 0, mayMiss: ['level' as const] },
        luxHoursPerDay: stage.luxHoursPerDay + 10 * n,
      })),
    }));
    const text = shortOf({ ...alike, zones });
    expect(text.split('\n').length).toBeLessThanOrEqual(50);
    expect(text).toMatch(/^\d+ more zones: `--all` tells of each\.\n {2}not met in .*\n {2}may miss in /m);
  });
});

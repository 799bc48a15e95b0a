/** What the lean estimate says of lifts that begin before it meets the film. */

import { expect, it } from 'vitest';
import { lightReport } from '../../../../compiler/advice/light-report.ts';
import { compilePlan } from '../../../../compiler/compile.ts';
import { sure } from '../../../../shared/assert.ts';
import { edgeWords, lightText } from '../../../../src/answers/light/text.ts';
import { boards, sampleText } from '../visits/plan.ts';

it('says that growth at the edge touches film sooner, and with which stage lifts begin', () => {
  const { plan, timeline } = compilePlan(sampleText('smallest'), { boards, advise: false });
  const { field, steered } = sure(timeline);
  const text = lightText(lightReport(sure(plan), field, steered));
  // Sealed on 16 February; the built-in climb, the first stage with lifts, begins 42 days later.
  expect(text).toContain('within days, so lifts begin in climb, 2026-03-30;');
  expect(edgeWords({ lifts: undefined })).toMatch(/the plan has no lifts$/);
});

/** The name that a grower gives a first plan. */

import { expect, it } from 'vitest';
import { planFileName } from '../../../../src/answers/init/questions.ts';

it.each([
  ['rack.plan.yaml', 'rack.plan.yaml'],
  ['Küchenregal Ost', 'Küchenregal Ost.plan.yaml'],
  ['  rack  ', 'rack.plan.yaml'],
  ['rack.YML', 'rack.YML'],
  ['   ', undefined],
  ['', undefined],
  ['.hidden', undefined],
  ['../rack', undefined],
  ['C:\\rack', undefined],
])('%j means %j', (typed, file) => expect(planFileName(typed)).toBe(file));

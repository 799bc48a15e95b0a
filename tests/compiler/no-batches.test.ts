/** A rack on which nothing grows yet, or nothing any more, is a plan too. */

import { expect, it } from 'vitest';
import { lightReport } from '../../compiler/advice/light-report.ts';
import { compilePlan } from '../../compiler/compile.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { decodeTable } from '../../shared/table-decode.ts';
import { BOARDS as boards } from '../support/boards.ts';
import { day, sample } from '../support/read-plan.ts';

const NOTHING = sample('smallest').replace(/batches:[\s\S]*$/, 'batches: {}\n');

it('without a batch there is a table that lights nothing, and no error', () => {
  const { findings, timeline, tables, plan } = compilePlan(NOTHING, { boards });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const { days, visits, field, steered } = sure(timeline);
  expect([days, visits]).toEqual([[], []]);
  const decoded = decodeTable(itemAt(tables, 0).encoded.bytes);
  expect(decoded.ok && decoded.table.bindings).toEqual([]);
  expect(lightReport(sure(plan), field, steered).zones).toEqual([]);
});

it('from a day on which all is over the same', () => {
  const { tables, timeline } = compilePlan(sample('smallest'), { boards, fromDay: day('2030-01-01') });
  expect(sure(timeline).days).toEqual([]);
  const decoded = decodeTable(itemAt(tables, 0).encoded.bytes);
  expect(decoded.ok && decoded.table.bindings).toEqual([]);
});

it('a plan with an error has no table', () => {
  const { tables, timeline, plan } = compilePlan(sample('smallest').replace('15 in', '15'), { boards });
  expect([tables, timeline, plan]).toEqual([[], undefined, undefined]);
});

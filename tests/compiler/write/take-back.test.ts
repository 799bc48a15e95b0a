/** What an entry wrote into a plan taken out again: the text is then what it was, remarks and all. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import * as change from '../../../compiler/write/change-batch.ts';
import { takeOutBegan, takeOutEnded, takeOutMovedTo } from '../../../compiler/write/take-back.ts';
import { sure } from '../../../shared/assert.ts';
import { day } from '../../src/answers/visits/plan.ts';

const flow = `leanward: 1
batches:
  early: { sealed: 2026-02-16, zones: [A, C] } # the first
  late: { sealed: 2026-03-09, zones: [B] }
visits: { hours: [08:00, 21:00] }
`;
const block = `batches:
  early:
    sealed: 2026-02-16   # a Monday
    zones: [A, C]

  # later
  late:
    sealed: 2026-03-09
    zones: [B]
`;
const on = day('2026-05-01');
const textOf = (out: ReturnType<typeof takeOutBegan>): string => {
  if (typeof out === 'string') throw new Error(out);
  return out.text;
};

describe.each([
  ['in one line', flow],
  ['line by line', block],
  ['line by line, with the ends of Windows', block.replace(/\n/g, '\r\n')],
])('a batch written %s is as it was', (_, text) => {
  it('once a stage that began is taken out', () => {
    const began = sure(change.writeBegan(text, 'early', 'climb', on));
    expect(textOf(takeOutBegan(began, 'early', 'climb', on))).toBe(text);
    const both = sure(change.writeBegan(began, 'early', 'ripen', day('2026-06-01')));
    expect(textOf(takeOutBegan(both, 'early', 'ripen', day('2026-06-01')))).toBe(began);
    const first = textOf(takeOutBegan(both, 'early', undefined, on));
    expect(parse(first).batches.early.began).toEqual({ ripen: '2026-06-01' });
  });

  it('with the day it had before, once a stage that began is taken out', () => {
    const meant = sure(change.writeBegan(text, 'early', 'climb', day('2026-04-10')));
    const began = sure(change.writeBegan(meant, 'early', 'climb', on));
    expect(change.begunIn(meant, 'early', 'climb')).toBe(day('2026-04-10'));
    expect(change.begunIn(meant, 'early', 'ripen')).toBeUndefined();
    expect(textOf(takeOutBegan(began, 'early', 'climb', on, day('2026-04-10')))).toBe(meant);
  });

  it('once an end is taken out', () => {
    for (const [zones, isWhole] of [
      [['A'], false],
      [['C', 'A'], true],
    ] as const) {
      const ended = sure(change.writeEnded(text, 'early', { zones, others: [], isWhole, day: on }));
      expect(textOf(takeOutEnded(ended, 'early', 'A', { gone: [], day: on }))).toBe(text);
    }
    const whole = sure(
      change.writeEnded(text, 'early', { zones: ['A', 'C'], others: [], isWhole: true, day: on }),
    );
    const left = textOf(takeOutEnded(whole, 'early', 'A', { gone: ['C'], day: on }));
    expect(parse(left).batches.early.ended).toEqual({ C: '2026-05-01' });
  });

  it('with the end it had before, once an end is taken out', () => {
    const before = day('2026-06-10');
    const meant = sure(
      change.writeEnded(text, 'early', { zones: ['A', 'C'], others: [], isWhole: true, day: before }),
    );
    const one = sure(
      change.writeEnded(meant, 'early', { zones: ['A'], others: ['C'], isWhole: false, day: on }),
    );
    expect(parse(one).batches.early.ended).toEqual({ A: '2026-05-01', C: '2026-06-10' });
    const back = textOf(takeOutEnded(one, 'early', 'A', { gone: [], day: on, before }));
    expect(parse(back).batches.early.ended).toEqual({ A: '2026-06-10', C: '2026-06-10' });
    const all = sure(
      change.writeEnded(meant, 'early', { zones: ['A', 'C'], others: [], isWhole: true, day: on }),
    );
    expect(textOf(takeOutEnded(all, 'early', 'A', { gone: [], day: on, before }))).toBe(meant);
    const left = textOf(takeOutEnded(all, 'early', 'A', { gone: ['C'], day: on, before }));
    expect(parse(left).batches.early.ended).toEqual({ A: '2026-06-10', C: '2026-05-01' });
    expect(takeOutEnded(all, 'early', 'A', { gone: ['C'], day: on, before: on })).toBe('nothing');
  });

  it('once a zone that bags came to is taken out', () => {
    const moved = sure(change.writeMovedTo(text, 'early', ['A', 'C'], 'D', on));
    expect(textOf(takeOutMovedTo(moved, 'early', 'D', on))).toBe(text);
  });

  it('in whatever order several go', () => {
    const stages = ['wake', 'climb', 'ripen'];
    fc.assert(
      fc.property(fc.shuffledSubarray(stages), fc.shuffledSubarray(stages), (put, out) => {
        const days = (stage: string): typeof on => day(`2026-05-0${stages.indexOf(stage) + 1}`);
        let now = text;
        for (const stage of put) now = sure(change.writeBegan(now, 'early', stage, days(stage)));
        for (const stage of out) {
          const taken = takeOutBegan(now, 'early', stage, days(stage));
          expect(taken === 'nothing').toBe(!put.includes(stage));
          if (taken !== 'nothing') now = textOf(taken);
        }
        const left = put.filter((stage) => !out.includes(stage));
        const began = left.length === 0 ? undefined : Object.fromEntries(left.map((one) => [one, days(one)]));
        const read: Record<string, string> | undefined = parse(now).batches.early.began;
        expect(read && Object.keys(read)).toEqual(began && Object.keys(began));
        if (left.length === 0) expect(now).toBe(text);
      }),
    );
  });
});

describe('nothing goes', () => {
  it('that has another day, or is not there', () => {
    const began = sure(change.writeBegan(flow, 'early', 'climb', on));
    expect(takeOutBegan(began, 'early', 'climb', day('2026-05-02'))).toBe('nothing');
    expect(takeOutBegan(began, 'late', 'climb', on)).toBe('nothing');
    expect(takeOutEnded(flow, 'early', 'A', { gone: [], day: on })).toBe('nothing');
    expect(takeOutMovedTo(flow, 'early', 'A', on)).toBe('nothing');
  });

  it('that has a remark beside it, or stands behind a mark', () => {
    const remark = `batches:\n  early:\n    sealed: 2026-02-16\n    ended: 2026-05-01 # sold\n`;
    expect(takeOutEnded(remark, 'early', 'A', { gone: [], day: on })).toBe('by hand');
    const marked = 'batches:\n  early: &one { sealed: 2026-02-16, ended: 2026-05-01 }\n  late: *one\n';
    expect(takeOutEnded(marked, 'late', 'A', { gone: [], day: on })).toBe('nothing');
  });
});

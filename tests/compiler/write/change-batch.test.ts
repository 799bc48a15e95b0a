import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import * as change from '../../../compiler/write/change-batch.ts';
import { sure } from '../../../shared/assert.ts';
import { day } from '../../src/answers/visits/plan.ts';

const flow = `leanward: 1
batches:
  early: { sealed: 2026-02-16, zones: [A, C] } # the first
  # late ones
  late: { sealed: 2026-03-09, zones: [B] }
visits: { hours: [08:00, 21:00] }
`;
const block = `batches:
  early:
    sealed: 2026-02-16   # a Monday
    zones:
      - A
      - C # wire
    enters: wake

    ended:
      A: 2026-04-01

# the visits
visits: {}
`;
const writeEnded = (...all: Parameters<typeof change.writeEnded>) => sure(change.writeEnded(...all));
const writeBegan = (...all: Parameters<typeof change.writeBegan>) => sure(change.writeBegan(...all));
const writeMovedTo = (...all: Parameters<typeof change.writeMovedTo>) => sure(change.writeMovedTo(...all));
/** What the YAML library reads. */
const batch = (text: string, name = 'early') => parse(text).batches[name];
/** Lines of `before` that are not in `after`. */
const lost = (before: string, after: string) =>
  before.split('\n').filter((line) => !after.split('\n').includes(line));

describe('what happened to a batch is written into the plan', () => {
  it('when it was ended, whole or in some zones', () => {
    const on = day('2026-06-01');
    const whole = writeEnded(flow, 'early', { zones: ['A', 'C'], others: [], isWhole: true, day: on });
    expect(whole).toBe(flow.replace('zones: [A, C] }', 'zones: [A, C], ended: 2026-06-01 }'));
    const some = writeEnded(flow, 'early', { zones: ['C'], others: [], isWhole: false, day: on });
    expect(batch(some).ended).toEqual({ C: '2026-06-01' });
    const more = writeEnded(block, 'early', { zones: ['C'], others: [], isWhole: true, day: on });
    expect(batch(more).ended).toEqual({ A: '2026-04-01', C: '2026-06-01' });
    expect(lost(block, more)).toEqual([]);
    const again = writeEnded(more, 'early', {
      zones: ['C'],
      others: [],
      isWhole: false,
      day: day('2026-06-02'),
    });
    expect(batch(again).ended).toEqual({ A: '2026-04-01', C: '2026-06-02' });
  });

  it('when a stage began', () => {
    const once = writeBegan(flow, 'early', 'climb', day('2026-04-06'));
    expect(once).toBe(flow.replace('zones: [A, C] }', 'zones: [A, C], began: { climb: 2026-04-06 } }'));
    const twice = writeBegan(once, 'early', 'ripen', day('2026-05-20'));
    expect(batch(twice).began).toEqual({ climb: '2026-04-06', ripen: '2026-05-20' });
    const inBlock = writeBegan(block, 'early', 'climb', day('2026-04-06'));
    expect(batch(inBlock).began).toEqual({ climb: '2026-04-06' });
    expect(lost(block, inBlock)).toEqual([]);
  });

  it('when bags were moved to a zone of its own, or to one more', () => {
    const on = day('2026-05-01');
    const moved = writeMovedTo(flow, 'late', ['B'], 'D', on);
    expect(moved).toBe(flow.replace('zones: [B] }', 'zones: [B, D], enters: { D: 2026-05-01 } }'));
    const again = writeMovedTo(moved, 'late', ['B', 'D'], 'E', on);
    expect(batch(again, 'late')).toMatchObject({
      zones: ['B', 'D', 'E'],
      enters: { D: '2026-05-01', E: '2026-05-01' },
    });
    const inBlock = writeMovedTo(block, 'early', ['A', 'C'], 'D', on);
    expect(batch(inBlock)).toMatchObject({
      zones: ['A', 'C', 'D'],
      enters: { A: 'wake', C: 'wake', D: '2026-05-01' },
    });
    expect(lost(block, inBlock)).toEqual(['    enters: wake']);
  });

  it('with the line ends that the text has', () => {
    const windows = writeEnded(block.replace(/\n/g, '\r\n'), 'early', {
      ...{ zones: ['C'], others: [], isWhole: false, day: day('2026-06-01') },
    });
    expect(windows.replace(/\r\n/g, '')).not.toContain('\n');
    expect(batch(windows).ended).toEqual({ A: '2026-04-01', C: '2026-06-01' });
  });

  it('but not behind a mark, where it would be written into another batch too', () => {
    const marked = 'batches:\n  early: &one { sealed: 2026-02-16 }\n  late: *one\n';
    expect(change.writeBegan(marked, 'late', 'climb', day('2026-04-06'))).toBeUndefined();
  });
});

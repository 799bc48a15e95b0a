import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readPlan } from '../../../compiler/read-plan.ts';
import { appendBatch, type NewBatch } from '../../../compiler/write/append-batch.ts';
import { starterPlan } from '../../../compiler/write/starter.ts';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const sample = (name: string) =>
  readFileSync(new URL(`../../../shared/plans/${name}.plan.yaml`, import.meta.url), 'utf8');
const later = sure(dayFromIso('2027-01-11'));

function codes(text: string): string[] {
  return readPlan(text, { boards })
    .findings.filter(({ severity }) => severity === 'error')
    .map(({ code }) => code);
}

/** Every line of the old text is still there, in order. */
function keepsLines(before: string, after: string): void {
  const lines = after.split('\n');
  let at = 0;
  for (const line of before.split('\n')) {
    const found = lines.slice(at).findIndex((one) => one.startsWith(line.replace(/\s*\}?\s*$/, '')));
    expect(found, line).toBeGreaterThanOrEqual(0);
    at += found + 1;
  }
}

describe('appending a batch', () => {
  test.each(['pantry', 'wire-rack'])('to %s changes nothing else', (name) => {
    const before = sample(name);
    const after = appendBatch(before, {
      name: 'next',
      zones: ['A', 'C'],
      sealed: later,
      lot: '0042',
      note: 'half "dry": #2',
    });
    const line = '  next: { sealed: 2027-01-11, zones: [A, C], lot: 0042, note: "half \\"dry\\": #2" }\n';
    expect(after.replace(line, '')).toBe(before);
    expect(codes(after)).toEqual([]);
    const batch = readPlan(after, { boards }).plan?.batches.at(-1);
    expect(batch).toMatchObject({ name: 'next', sealed: later, lot: '0042', note: 'half "dry": #2' });
  });

  test('the only batch then says its zones', () => {
    const after = appendBatch(sample('smallest'), { zones: ['A'], sealed: later });
    expect(after).toContain(
      '  spring: { sealed: 2026-02-16, zones: [A] }\n  sealed-2027-01-11: { sealed: 2027-01-11, zones: [A] }\n',
    );
    expect(codes(after)).toEqual([]);
  });

  test('a zone that is not free is refused on reading again', () => {
    const after = appendBatch(sample('smallest'), { zones: ['A'], sealed: sure(dayFromIso('2026-03-16')) });
    expect(codes(after)).toEqual(['zone-taken']);
  });

  test.each<[string, string, string]>([
    [
      'in braces',
      'batches: { one: { sealed: 2026-02-16, zones: [A] } } # mine\n',
      'zones: [A] }, two: { sealed: 2027-01-11, zones: [A] } } # mine\n',
    ],
    [
      'in braces over lines',
      'batches: {\n  one: { sealed: 2026-02-16, zones: [A] }, # first\n}\n',
      'zones: [A] }, two: { sealed: 2027-01-11, zones: [A] }, # first\n}\n',
    ],
    [
      'as lines',
      'batches:\n    one:\n        sealed: 2026-02-16 # day\n\n# end\n',
      'sealed: 2026-02-16 # day\n        zones: [A]\n    two: { sealed: 2027-01-11, zones: [A] }\n\n# end\n',
    ],
    [
      'without a last newline',
      'batches:\n  one: { sealed: 2026-02-16, zones: [A] }',
      'zones: [A] }\n  two: { sealed: 2027-01-11, zones: [A] }',
    ],
    [
      'with a block of text',
      'batches:\n  one:\n    sealed: 2026-02-16\n    zones: [A]\n    note: |\n      a\n      b\n',
      '      b\n  two: { sealed: 2027-01-11, zones: [A] }\n',
    ],
    ['empty', 'batches: {}\n', 'batches: { two: { sealed: 2027-01-11, zones: [A] } }\n'],
    [
      'with the section in the middle',
      'batches:\n  one: { sealed: 2026-02-16, zones: [A] } # x\nroom: {}\n',
      '} # x\n  two: { sealed: 2027-01-11, zones: [A] }\nroom: {}\n',
    ],
  ])('to batches written %s', (_, section, expected) => {
    const before = sample('smallest').replace(/batches:[\s\S]*$/, section);
    const after = appendBatch(before, { name: 'two', zones: ['A'], sealed: later });
    expect(after.endsWith(expected), after).toBe(true);
    expect(codes(after)).toEqual([]);
  });

  test('lines end as they did', () => {
    const after = appendBatch(sample('wire-rack').replaceAll('\n', '\r\n'), { zones: ['A'], sealed: later });
    expect(after.match(/(?<!\r)\n/)).toBeNull();
    expect(codes(after)).toEqual([]);
  });

  test('names are free and readable whatever they are', () => {
    const start = appendBatch(sample('smallest'), { zones: ['A'], sealed: later });
    expect(appendBatch(start, { zones: ['A'], sealed: later })).toContain('sealed-2027-01-11-2:');
    fc.assert(
      fc.property(
        fc.string({ minLength: 1, unit: 'grapheme' }),
        fc.string({ unit: 'grapheme' }),
        (name, note) => {
          const batch: NewBatch = { name: `b${name}`, zones: ['A'], sealed: later, note: `n${note}` };
          const { plan } = readPlan(appendBatch(sample('smallest'), batch), { boards });
          expect(plan?.batches.at(-1)).toMatchObject({ name: `b${name}`, note: `n${note}` });
        },
      ),
      { numRuns: 200, seed: 1 },
    );
  });

  test('a batch every five weeks for two years, each in the zone that is free', () => {
    const first = sure(dayFromIso('2025-01-06'));
    let text = starterPlan({ shelves: 4, units: 'in', timezone: 'America/Halifax', sealed: first });
    const before = text;
    for (let i = 0; i < 21; i++) {
      const zone = 'ABCD'[i % 4] ?? 'A';
      text = appendBatch(text, {
        zones: [zone],
        sealed: civilDay(first + 140 + 35 * i),
        regime: 'antler',
        bag: 'tall',
      });
    }
    keepsLines(before, text);
    expect(codes(text)).toEqual([]);
    expect(readPlan(text, { boards }).plan?.batches).toHaveLength(22);
  });
});

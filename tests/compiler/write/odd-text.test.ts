/**
 * Writing into plans however they are written: in braces or line by line, quoted or not, with remarks,
 * blank lines, blocks of text, lists in either form, the line ends of Windows, no last newline.
 *
 * Always holds: what the YAML library (by others) reads afterwards is what it read before with the one
 * change in it; no remark is lost; what is taken back leaves the text as it was.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { appendBatch } from '../../../compiler/write/append-batch.ts';
import * as change from '../../../compiler/write/change-batch.ts';
import { keyPlace } from '../../../compiler/write/set-value.ts';
import { takeOutBegan, takeOutEnded, takeOutMovedTo } from '../../../compiler/write/take-back.ts';
import { sure } from '../../../shared/assert.ts';
import { day } from '../../src/answers/visits/plan.ts';

const ON = day('2026-05-01');
const BEGAN = '2026-05-01';

type Entry = readonly [key: string, value: string];

const quote = fc.constantFrom('', '"', "'");
const quoted = (word: string): fc.Arbitrary<string> => quote.map((mark) => `${mark}${word}${mark}`);
const remark = fc.constantFrom('', '', ' # mine', '   #', ' # a: b, [c] {d}');
const between = fc.constantFrom('', '', '\n', '# below\n', '      # deep\n\n');
const listInBraces = fc
  .tuple(quoted('A'), quoted('C'), fc.constantFrom('[%, %]', '[ %, % ]', '[%,%]', '[%, %, ]'))
  .map(([a, c, form]) => form.replace('%', a).replace('%', c));

/** What else a batch may say. */
const words = fc.subarray<Entry>([
  ['strain', 'own'],
  ['lot', '"0042"'],
]);
const longText = fc.constantFrom<Entry | undefined>(
  undefined,
  ['note', '|\n        first\n        second'],
  ['note', '>-\n        first\n\n        second'],
  ['note', 'plain over\n        two lines'],
  ['note', '"quoted: # no remark"'],
);

/** A batch in braces on one line, or over lines. */
const inBraces = fc
  .record({
    zones: listInBraces,
    more: words,
    last: fc.constantFrom('', ','),
    over: fc.boolean(),
    sealed: quote,
  })
  .map(({ zones, more, last, over, sealed }) => {
    const entries: Entry[] = [['sealed', `${sealed}2026-02-16${sealed}`], ['zones', zones], ...more];
    const parts = entries.map(([key, value]) => `${key}: ${value}`);
    return over ? `{\n      ${parts.join(',\n      ')}${last}\n    }` : `{ ${parts.join(', ')}${last} }`;
  });

const listInLines = fc
  .tuple(quoted('A'), quoted('C'), fc.constantFrom('', '  '), remark)
  .map(([a, c, indent, note]) => `\n      ${indent}- ${a}\n      ${indent}- ${c}${note}`);

/** A batch line by line. */
const inLines = fc
  .record({
    zones: fc.oneof(listInBraces, listInLines),
    more: words,
    text: longText,
    remarks: fc.array(remark, { minLength: 6, maxLength: 6 }),
    gaps: fc.array(between, { minLength: 6, maxLength: 6 }),
    textFirst: fc.boolean(),
  })
  .map(({ zones, more, text, remarks, gaps, textFirst }) => {
    const plain: Entry[] = [['sealed', '2026-02-16'], ['zones', zones], ...more];
    const entries = text === undefined ? plain : textFirst ? [text, ...plain] : [...plain, text];
    return entries
      .map(([key, value], n) => {
        const own = value.includes('\n') ? '' : (remarks[n] ?? '');
        return `\n${n === 0 ? '' : (gaps[n] ?? '')}      ${key}:${value.startsWith('\n') ? '' : ' '}${value}${own}`;
      })
      .join('');
  });

const oddText = fc
  .record({
    name: quoted('early'),
    early: fc.oneof(
      inBraces,
      inBraces.map((text) => `&e ${text}`),
      inLines,
    ),
    other: fc.boolean(),
    gap: between,
    after: fc.boolean(),
    ends: fc.constantFrom('\n', '\r\n'),
    last: fc.boolean(),
  })
  .map(({ name, early, other, gap, after, ends, last }) => {
    const lines = [
      'leanward: 1',
      'zones: { A: { bags: [2, 1] }, C: { bags: [2, 1] }, D: { bags: [2, 1] } }',
      `batches: # all`,
      `    ${name}:${early.startsWith('\n') ? '' : ' '}${early}`,
      ...(other ? [`${gap}    late: { sealed: 2026-03-09, zones: [D] }`] : []),
      ...(after ? [`${gap}visits: {} # the end`] : []),
    ];
    const text = `${lines.join('\n')}${last ? '\n' : ''}`;
    return text.replace(/\n/g, ends);
  });

/** What a plan says of `early`, and all the rest. */
const said = (text: string) => {
  const { batches, ...rest } = parse(text);
  const { early, ...others } = batches;
  return { early, others, rest };
};

const remarksOf = (text: string): string[] =>
  text.split(/\r?\n/).flatMap((line) => /(?:^|\s)#[^"]*$/.exec(line)?.[0].trim() ?? []);

/** That one text says what another said, with something changed in `early`, with its remarks and line ends. */
function expectChanged(before: string, after: string, changed: object): void {
  const was = said(before);
  expect(said(after), after).toEqual({ ...was, early: { ...was.early, ...changed } });
  expect(remarksOf(after), after).toEqual(remarksOf(before));
  expect(/\r\n/.test(before) && /(?<!\r)\n/.test(after), after).toBe(false);
}

const runs = { numRuns: 120 };

describe('a plan written in whatever way', () => {
  it('takes the day on which a stage began, and gives it back', () => {
    fc.assert(
      fc.property(oddText, (text) => {
        const began = sure(change.writeBegan(text, 'early', 'climb', ON));
        expectChanged(text, began, { began: { climb: BEGAN } });
        expect(change.begunIn(began, 'early', 'climb')).toBe(ON);
        const back = takeOutBegan(began, 'early', 'climb', ON);
        if (back === 'by hand') return;
        expect(back).toEqual({ text });
      }),
      runs,
    );
  });

  it('takes an end, of a zone or of all', () => {
    fc.assert(
      fc.property(oddText, fc.boolean(), (text, isWhole) => {
        const zones = isWhole ? ['A', 'C'] : ['C'];
        const ended = sure(change.writeEnded(text, 'early', { zones, others: [], isWhole, day: ON }));
        expectChanged(text, ended, { ended: isWhole ? BEGAN : { C: BEGAN } });
        const more = sure(
          change.writeEnded(ended, 'early', { zones: ['A'], others: [], isWhole: false, day: ON }),
        );
        if (!isWhole) expectChanged(text, more, { ended: { A: BEGAN, C: BEGAN } });
        const back = takeOutEnded(ended, 'early', 'C', { gone: [], day: ON });
        if (back !== 'by hand') expect(back).toEqual({ text });
      }),
      runs,
    );
  });

  it('takes a zone that bags were moved to', () => {
    fc.assert(
      fc.property(oddText, (text) => {
        const moved = sure(change.writeMovedTo(text, 'early', ['A', 'C'], 'D', ON));
        expectChanged(text, moved, { zones: ['A', 'C', 'D'], enters: { D: BEGAN } });
        const back = takeOutMovedTo(moved, 'early', 'D', ON);
        if (typeof back !== 'string') expect(said(back.text)).toEqual(said(text));
      }),
      runs,
    );
  });

  it('takes one batch more', () => {
    fc.assert(
      fc.property(oddText, (text) => {
        const after = appendBatch(text, { name: 'next', zones: ['D'], sealed: ON, note: 'a "b": #c' });
        const was = said(text);
        expect(said(after), after).toEqual({
          ...was,
          others: { ...was.others, next: { sealed: BEGAN, zones: ['D'], note: 'a "b": #c' } },
        });
        expect(remarksOf(after)).toEqual(expect.arrayContaining(remarksOf(text)));
      }),
      runs,
    );
  });

  it('shows where a key stands', () => {
    fc.assert(
      fc.property(oddText, (text) => {
        for (const [path, word] of [
          [['batches', 'early'], 'early'],
          [['batches', 'early', 'zones'], 'zones'],
        ] as const) {
          const { start, end } = sure(keyPlace(text, path));
          expect(text.slice(start, end).replace(/["']/g, '')).toBe(word);
        }
        expect(keyPlace(text, ['batches', 'early', 'ended'])).toBeUndefined();
        expect(keyPlace(text, ['batches', 'none', 'zones'])).toBeUndefined();
      }),
      runs,
    );
  });
});

/**
 * Reading never throws and every finding can be shown, whatever comes in.
 */

import { readdirSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { renderFindings } from '../../../compiler/findings/render.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { share } from '../../support/share.ts';

/** A heap is read within a second; what grows with the square of its size would take minutes. */
const SOON_MICROS = 60_000_000;

const folder = new URL('../../../shared/plans/', import.meta.url);
const samples = readdirSync(folder).map((name) => readFileSync(new URL(name, folder), 'utf8'));

/** Reads and shows; there is a plan exactly when there is no error. */
function readAndShow(source: Uint8Array | string): void {
  const { plan, findings, text, units } = readPlan(source, { boards });
  const failed = findings.some(({ severity }) => severity === 'error');
  expect(plan === undefined).toBe(failed);
  for (const { span, second } of findings) {
    for (const { start, end } of second ? [span, second] : [span]) {
      expect(start).toBeGreaterThanOrEqual(0);
      expect(end).toBeGreaterThanOrEqual(start);
      expect(end).toBeLessThanOrEqual(Math.max(text.length + 1, 1));
    }
  }
  renderFindings(findings, { file: 'fuzz', text, units });
}

const PIECES = [
  '{',
  '}',
  '[',
  ']',
  ':',
  ': ',
  ',',
  '#',
  '"',
  "'",
  '\n',
  '\t',
  ' ',
  '- ',
  '&a ',
  '*a',
  '|\n',
  '>\n',
  '? ',
  '! ',
  '%',
  '@',
  '---\n',
  '<<: *a',
  '\u00a0',
  '“',
  '”',
  '\0',
  '\ud800',
  '0',
  '-1',
  '1e999',
  '.nan',
  '~',
  'null',
  'true',
  '2026-02-30',
  '25:00',
  '5 in',
  '5 lb',
  'like: A',
  '__proto__',
  'constructor',
  'toString',
  'sway',
  'left',
  'A',
  'zones:',
  'ended: ',
  'then: keep',
  'enters: wake',
  '0 d',
] as const;

interface Change {
  readonly at: number;
  readonly remove: number;
  readonly piece: string;
}

const change: fc.Arbitrary<Change> = fc.record({
  at: fc.nat(5000),
  remove: fc.oneof(fc.constant(0), fc.nat(12)),
  piece: fc.oneof(fc.constantFrom('', ...PIECES), fc.string({ maxLength: 4 })),
});

function applied(text: string, changes: readonly Change[]): string {
  return changes.reduce((now, { at, remove, piece }) => {
    const place = at % (now.length + 1);
    return now.slice(0, place) + piece + now.slice(place + remove);
  }, text);
}

describe('reading never throws', () => {
  test('on random bytes', () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 300 }), readAndShow), { numRuns: 1000, seed: 1 });
  });

  test('on random pieces of a plan', () => {
    const soup = fc.array(fc.constantFrom(...PIECES), { maxLength: 60 }).map((pieces) => pieces.join(''));
    fc.assert(fc.property(soup, readAndShow), { numRuns: 1000, seed: 2 });
  });

  test('on sample plans with a few changes', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...samples),
        fc.array(change, { minLength: 1, maxLength: 4 }),
        (text, changes) => readAndShow(applied(text, changes)),
      ),
      { numRuns: share(120, 700), seed: 3 },
    );
  });

  test('on a sample plan with lines taken out or doubled', () => {
    const edits = fc.array(fc.tuple(fc.nat(60), fc.boolean()), { maxLength: 6 });
    fc.assert(
      fc.property(fc.constantFrom(...samples), edits, (text, list) => {
        const lines = text.split('\n');
        for (const [at, double] of list) {
          if (double) lines.splice(at % lines.length, 0, lines[at % lines.length] ?? '');
          else lines.splice(at % lines.length, 1);
        }
        readAndShow(lines.join('\n'));
      }),
      { numRuns: share(60, 300), seed: 4 },
    );
  });

  test.each([
    ['brackets', '['.repeat(200_000)],
    ['braces', '{a: '.repeat(100_000)],
    ['dashes', '- '.repeat(100_000)],
    ['deeper lines', Array.from({ length: 1400 }, (_, i) => `${' '.repeat(i)}a:`).join('\n')],
    ['pairs in braces', `a: {${'b:1,'.repeat(50_000)}}`],
    ['empty braces', `a: ${'{}'.repeat(30_000)}`],
    ['deepening lines', Array.from({ length: 600 }, (_, i) => `${' '.repeat(i)}a:`).join('\n')],
    ['quotes', '"'.repeat(200_000)],
    ['colons', 'a:'.repeat(100_000)],
    ['one long line', `title: ${'x'.repeat(900_000)}`],
    ['many lines', 'a: 1\n'.repeat(50_000)],
    [
      'many keys',
      `leanward: 1\nlamps:\n${Array.from({ length: 5000 }, (_, i) => `  l${i}: { output: ${i} }`).join('\n')}`,
    ],
    ['many tabs', '\ta: 1\n'.repeat(50_000)],
    ['question marks', '? '.repeat(50_000)],
    ['a list of nothing', `lamps: [${','.repeat(100_000)}]`],
    ['an alias in itself', 'a: &a [*a, *a]\nleanward: 1'],
    ['anchors', `${'&a '.repeat(20_000)}x`],
  ])('on a heap of %s, and soon', (_, text) => {
    const start = process.cpuUsage();
    readAndShow(text);
    expect(process.cpuUsage(start).user).toBeLessThan(SOON_MICROS);
  });
});

/** What `check` says of a rack of very many zones: what is alike, once. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { alikeLines, groupFindings } from '../../../../src/answers/check/groups.ts';
import { whyLines } from '../../../../src/answers/check/lamps.ts';
import { checkLines } from '../../../../src/answers/check/text.ts';
import { boards } from '../visits/plan.ts';

const SHELVES = 18;
const numbers = Array.from({ length: SHELVES }, (_, i) => i + 1);
/** Shelves alike, one zone each with a lamp in front and one behind; far too much light. */
const text = `leanward: 1
place: { timezone: America/Chicago }
controllers:
${numbers.map((n) => `  c${n}: { unit: ${n} }`).join('\n')}
shelves:
${numbers.map((n) => `  s${n}: { height: ${n * 24} in, size: [36 in, 16 in], clear: 20 in, deck: solid }`).join('\n')}
zones:
${numbers.map((n) => `  Z${n}: { shelf: s${n}, bags: [4, 1] }`).join('\n')}
lamps:
${numbers
  .map(
    (n) => `  f${n}: { beside: Z${n}, side: front, output: c${n}/1, flux: 9000 lm }
  b${n}: { beside: Z${n}, side: back, output: c${n}/2, flux: 9000 lm }`,
  )
  .join('\n')}
bags: { tall: { footprint: [5 in, 8 in], height: 19 in, fill: 5 lb } }
batches: { spring: { sealed: 2026-02-16 } }
`;

it('is told once for all zones that are alike, and fits a page', () => {
  const compiled = compilePlan(text, { boards, advise: false });
  const why = whyLines(compiled);
  expect(why[1]).toBe('  zones Z1 to Z18:');
  expect(why.join('\n')).toContain('    climb, front: the lamp at the front on 12 h a day');
  expect(why.join('\n')).not.toMatch(/\b[fb]\d/);
  const groups = groupFindings(compiled.findings, compiled.plan);
  const level = groups.find(({ told }) => told.code === 'light-level');
  expect(level?.alike.length).toBeGreaterThan(SHELVES);
  const lines = level ? alikeLines(level, compiled.units) : [];
  expect(lines).toContain('  stage `climb`: zones Z1 to Z18');
  expect(lines.length).toBeLessThanOrEqual(4);
  const tables = checkLines('k.plan.yaml', compiled).filter((line) => line.startsWith('Controller'));
  expect(tables).toEqual([expect.stringMatching(/^Controllers c1 to c18: schedule tables of/)]);
});

it('of zones that all differ tells a screenful, and how many more there are', () => {
  let n = 0;
  // Each lamp a little stronger than the last, near the end of the band: every zone has ranges of its own.
  const unlike = text.replace(/flux: 9000 lm/g, () => `flux: ${300 + 7 * n++} lm`);
  const why = whyLines(compilePlan(unlike, { boards, advise: false }));
  expect(why.length).toBeLessThanOrEqual(43);
  expect(why.at(-2)).toMatch(
    /^ {2}\d+ more zones: `light --all` tells of each; light in \d+ of them may miss what was asked for\.$/,
  );
});

it('says of each kind of fault what helps, tried for the first that is told', () => {
  const compiled = compilePlan(text, { boards });
  const levels = groupFindings(compiled.findings, compiled.plan).filter(
    ({ told }) => told.code === 'light-level',
  );
  for (const { told, alike } of levels) {
    expect(told.facts).toHaveProperty('fluxPercent');
    for (const one of alike) expect(one.facts).not.toHaveProperty('fluxPercent');
  }
  expect(levels.length).toBeGreaterThan(0);
});

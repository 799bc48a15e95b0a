/** What `check` says of a rack of very many bags: a screenful, with every error and warning in it. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { Compiled } from '../../../../compiler/compiled.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { isLarge, shortLines } from '../../../../src/answers/check/short.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { type RackShape, rackText } from '../../../support/racks.ts';

const SCREENFUL = 50;

const compiled = (text: string): Compiled => compilePlan(text, { boards: BOARDS, advise: false });
const short = (of: Compiled): string[] => shortLines('k.plan.yaml', of, false);

/** How many findings the lines of a severity tell: those written out, and those counted as alike. */
function counted(lines: readonly string[], severity: string): number {
  const told = lines.flatMap((line, at) => {
    if (!line.includes(`: ${severity} `)) return [];
    const next = lines.findIndex(
      (other, n) => n > at && /^k\.plan\.yaml(:\d+:\d+)?: (error|warning|note) |^$/.test(other),
    );
    const alike = lines
      .slice(at, next)
      .flatMap((one) => /(?:^|, and )(\d+) more alike(?:: |$)/.exec(one)?.[1] ?? []);
    return [1, ...alike.map(Number)];
  });
  return told.reduce((sum, count) => sum + count, 0);
}

const SHAPES: Readonly<Record<string, RackShape>> = {
  '20 zones of 50': { zones: 20, bags: [25, 2], beside: 1 },
  '200 zones of 5': { zones: 200, bags: [5, 1], beside: 8 },
  '48 zones, none alike': { zones: 48, bags: [2, 1], beside: 2, unlike: true },
};

describe.each(Object.entries(SHAPES))('a rack of %s', (_, shape) => {
  const result = compiled(rackText(shape));
  const lines = short(result);

  it('fits a screen', () => {
    expect(isLarge(result)).toBe(true);
    expect(lines.length).toBeLessThanOrEqual(SCREENFUL);
    expect(lines.every((line) => line.length < 700)).toBe(true);
  });

  it.each(['warning', 'note'])('tells or counts every %s', (severity) => {
    const all = result.findings.filter((one) => one.severity === severity);
    expect(all.length).toBeGreaterThan(0);
    expect(counted(lines, severity)).toBe(all.length);
  });

  it('says what is on the rack, what it weighs and which tables there are', () => {
    const text = lines.join('\n');
    expect(text).toContain(`${sure(result.plan).zones.length} zones`);
    expect(text).toMatch(/shelf load: .* lb \(\d+ bags with spawn\)/);
    expect(text).toMatch(/^Controllers? c1.*: schedule tables? /m);
    expect(text).toContain('`--all` lists them');
  });
});

it('fits a screen with remedies and notes of many kinds', () => {
  const text = rackText({ zones: 20, bags: [5, 2], beside: 4 });
  const result = compilePlan(text, { boards: BOARDS, advise: true });
  const lines = short(result);
  expect(lines.length).toBeLessThanOrEqual(SCREENFUL);
  for (const severity of ['warning', 'note'])
    expect(counted(lines, severity)).toBe(result.findings.filter((one) => one.severity === severity).length);
});

it('gives each error its line, however many there are', () => {
  // Every zone's second bag row hangs over the edge of its shelf.
  const text = rackText({ zones: 48, bags: [2, 1], beside: 2 }).replace(
    /y: \[4\.0 in, 13\.0 in\]/g,
    'y: [4 in, 40 in]',
  );
  const result = compiled(text);
  const errors = result.findings.filter(({ severity }) => severity === 'error');
  expect(errors.length).toBe(48);
  const lines = short(result);
  expect(counted(lines, 'error')).toBe(48);
  expect(lines.length).toBeLessThanOrEqual(SCREENFUL);
  const zones = text.split('\n').flatMap((line, n) => (line.includes('[4 in, 40 in]') ? [n + 1] : []));
  const [first, last] = [itemAt(zones, 1), itemAt(zones, 47)];
  expect(lines.join('\n')).toContain(`47 more alike: lines ${first} to ${last}`);
});

it('leaves small racks their full text', () => {
  for (const name of ['pantry', 'pantry-open', 'wire-rack', 'smallest'])
    expect(isLarge(compiled(samplePlan(name)))).toBe(false);
});

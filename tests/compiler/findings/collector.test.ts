import { describe, expect, it } from 'vitest';
import { Collector } from '../../../compiler/findings/collector.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { BOARDS as boards, samplePlan } from '../../support/boards.ts';

describe('very many findings', () => {
  const TAKEN = { zone: 'A', earlier: 'a', later: 'b', free: '2026-05-01', enters: '2026-04-01' };
  const place = (start: number) => ({ start, end: start + 1 });

  it('hide no error: it counts and is told', () => {
    const collector = new Collector();
    for (let at = 0; at < 300; at++) collector.report('value-assumed', place(at), { values: [] });
    expect(collector.hasErrors).toBe(false);
    collector.report('zone-taken', place(400), TAKEN);
    expect(collector.hasErrors).toBe(true);
    const codes = collector.sorted().map(({ code }) => code);
    expect(codes.at(-1)).toBe('zone-taken');
    expect(codes.filter((code) => code === 'value-assumed').length).toBe(200);
    expect(codes.filter((code) => code === 'text-more-findings').length).toBe(1);
  });

  it('are cut after 200 errors, which still are errors', () => {
    const collector = new Collector();
    for (let at = 0; at < 300; at++) collector.report('zone-taken', place(at), TAKEN);
    expect(collector.sorted().length).toBe(201);
    expect(collector.hasErrors).toBe(true);
  });
});

describe('a second document in the file', () => {
  const plan = samplePlan('smallest');
  const lines = plan.split('\n').length;

  it.each(['---\nfoo: bar\n', '...\nbatches: { x: 3 }\n', '---\n# a word\n---\nzones: {}\n'])(
    'is an error at its line: %j',
    (more) => {
      const found = readPlan(`${plan}${more}`, { boards }).findings.filter(
        ({ severity }) => severity === 'error',
      );
      expect(found).toMatchObject([{ code: 'text-unreadable', facts: { reason: 'MULTIPLE_DOCS' } }]);
      const line = `${plan}${more}`.slice(0, found[0]?.span.start).split('\n').length;
      expect(line).toBeGreaterThanOrEqual(lines);
    },
  );

  it.each(['---\n', '...\n', '--- # the end\n\n# nothing more\n'])('is none when it is empty: %j', (more) => {
    expect(readPlan(`${plan}${more}`, { boards }).plan).toBeDefined();
    expect(readPlan(`---\n${plan}`, { boards }).plan).toBeDefined();
  });
});

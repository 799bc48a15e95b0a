/** What `check` says in short keeps apart what is different: opposite faults, and errors that name other words. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { Compiled } from '../../../../compiler/compiled.ts';
import type { Finding } from '../../../../compiler/findings/finding.ts';
import { sure } from '../../../../shared/assert.ts';
import { groupFindings } from '../../../../src/answers/check/groups.ts';
import { isLarge, shortLines } from '../../../../src/answers/check/short.ts';
import { BOARDS as boards, samplePlan } from '../../../support/boards.ts';
import { rackText } from '../../../support/racks.ts';

const compiled = (text: string, advise = false): Compiled => compilePlan(text, { boards, advise });
const short = (of: Compiled): string => shortLines('k.plan.yaml', of, false).join('\n');

const RACK = rackText({ zones: 14, bags: [2, 1], beside: 1 });

describe('zones too bright and zones too dim by turns', () => {
  let n = 0;
  const text = RACK.replace(/flux: \d+ lm/g, () => `flux: ${n++ % 4 < 2 ? 3000 : 60} lm`);
  const result = compiled(text, true);
  const levels = groupFindings(result.findings, result.plan, 'all').filter(
    ({ told }) => told.code === 'light-level',
  );
  const isBright = ({ facts }: (typeof result.findings)[number]): boolean =>
    'brightest' in facts && facts.brightest > facts.high;

  it('are not called alike', () => {
    expect(levels.length).toBeGreaterThan(1);
    for (const { told, alike } of levels)
      for (const one of alike) expect(isBright(one), `${JSON.stringify(one.facts)}`).toBe(isBright(told));
    expect(new Set(levels.map(({ told }) => isBright(told)))).toEqual(new Set([true, false]));
  });

  it('have each way its own remedy tried', () => {
    const percents = levels.map(
      ({ told }) => ('fluxPercent' in told.facts ? told.facts.fluxPercent : 0) ?? 0,
    );
    for (const [i, { told }] of levels.entries())
      if (isBright(told)) expect(percents[i]).toBeLessThan(100);
      else expect(percents[i]).toBeGreaterThan(100);
  });
});

it('tells what else was tried for some of those alike', () => {
  const result = compiled(RACK.replace(/flux: \d+ lm/g, 'flux: 3000 lm'), true);
  const level = groupFindings(result.findings, result.plan, 'all').find(
    ({ told }) => told.code === 'light-level',
  );
  const other = sure(level?.alike.at(-1));
  expect(short(result)).not.toMatch(/^ {2}of them/m);
  // The same fault, with a board as its remedy.
  const covered = { ...other, facts: { ...other.facts, coverShelf: 's1', cleared: true } } as Finding;
  const findings = result.findings.map((one) => (one === other ? covered : one));
  const zone = 'zone' in other.facts ? other.facts.zone : '';
  expect(short({ ...result, findings })).toMatch(
    new RegExp(`^  of them stage \`\\S+\`, zone ${zone}: A solid board on shelf \`s1\``, 'm'),
  );
});

describe('errors that name other words', () => {
  it('are each told: missing keys', () => {
    const result = compiled('title: six keys short\nzones: { A: {} }\n');
    const missing = result.findings.flatMap(({ code, facts }) =>
      code === 'key-missing' && 'key' in facts ? [facts.key] : [],
    );
    expect(missing.length).toBeGreaterThan(3);
    const text = short(result);
    for (const key of missing) expect(text).toContain(`needs \`${key}\``);
  });

  it('are each told with what may have been meant: misspelt keys', () => {
    const wrong = ['heigth', 'siez', 'claer', 'dekc'];
    const right = ['height', 'size', 'clear', 'deck'];
    let n = 0;
    const text = RACK.replace(/\b(height|size|clear|deck): /g, (all, key: string) =>
      n++ < 4 ? `${wrong[right.indexOf(key)]}: ` : all,
    );
    const said = short(compiled(text));
    for (const key of wrong) expect(said).toContain(`has no key \`${key}\``);
    for (const key of right) expect(said).toContain(`Did you mean \`${key}\`?`);
  });

  it('stay together where the same is wrong in many entries', () => {
    const said = short(compiled(RACK.replaceAll('deck: ', 'dekc: ')));
    expect(said.match(/has no key `dekc`/g)).toHaveLength(1);
    expect(said).toMatch(/^13 more alike: lines \d+ to \d+$/m);
  });
});

describe('a small rack in a long file', () => {
  const remarks = '# a remark\n'.repeat(150);
  const long = (wrong: string): Compiled => compiled(`${samplePlan('pantry')}${remarks}${wrong}`);

  it('has one mistake told in full', () => {
    const result = long('remarkk: x\n');
    expect(result.plan).toBeUndefined();
    expect(isLarge(result)).toBe(false);
  });

  it('has so many mistakes told in short that a screen would not hold them', () => {
    const wrong = Array.from({ length: 20 }, (_, n) => `word${n}: x\n`).join('');
    expect(isLarge(long(wrong))).toBe(true);
  });
});

it('shows the line of the file, and a caret, where few things are wrong with a large rack', () => {
  const text = RACK.replace('clear: ', 'claer: ');
  const at = text.split('\n').findIndex((line) => line.includes('claer'));
  const said = short(compiled(text));
  expect(said).toContain(`${at + 1} | ${text.split('\n')[at]?.slice(0, 20)}`);
  expect(said).toMatch(/^ +\| +\^{5}$/m);
});

it('counts the values of low confidence as the warning of them does', () => {
  const said = short(compiled(RACK));
  const [, ended] = /(\d+) of them with low confidence: `--all`/.exec(said) ?? [];
  expect(ended).toBeDefined();
  expect(said).toContain(`${ended} values the plan leaves out are assumed with low confidence`);
});

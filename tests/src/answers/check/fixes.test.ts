import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { applyEdits } from '../../../../compiler/read/edits.ts';
import { readPlan } from '../../../../compiler/read-plan.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { fixOf } from '../../../../src/answers/check/fixes.ts';
import { BOARDS } from '../../../support/boards.ts';

const folder = new URL('../../../golden/findings/', import.meta.url);
const RULE = /^={40}$/m;

/** The plans of the golden files: each has a fault that the file names. */
const cases = readdirSync(folder).map((name) => ({
  name,
  code: itemAt(name.split('.'), 0),
  text: itemAt(readFileSync(new URL(name, folder), 'utf8').split(RULE), 0),
}));

const FIXED = [
  'key-unknown.section-in-the-singular.txt',
  'key-unknown.unknown-key.txt',
  'name-unknown.misspelt-name.txt',
  'place-unknown-timezone.unknown-time-zone.txt',
  'unit-missing.angle-without-unit.txt',
  'unit-missing.unit-as-elsewhere.txt',
  'unit-missing.unit-missing.txt',
];

describe('a fix at a press', () => {
  it.each(cases)('of $name takes the finding away', ({ name, code, text }) => {
    const { findings } = readPlan(text, { boards: BOARDS });
    const finding = findings.find((one) => one.code === code);
    const fix = finding && fixOf(finding, text);
    if (FIXED.includes(name)) expect(fix).toBeDefined();
    if (!fix) return;
    const after = readPlan(applyEdits(text, fix.edits).text, { boards: BOARDS });
    expect(after.findings.filter((one) => one.code === code)).toHaveLength(
      findings.filter((one) => one.code === code).length - 1,
    );
    const errors = (list: typeof findings): number =>
      list.filter(({ severity }) => severity === 'error').length;
    expect(errors(after.findings)).toBeLessThanOrEqual(errors(findings));
  });

  it('leaves what the words leave to the grower', () => {
    const text = itemAt(
      cases.filter(({ name }) => name === 'key-unknown.unknown-key-not-near.txt'),
      0,
    ).text;
    const { findings } = readPlan(text, { boards: BOARDS });
    expect(findings.map((finding) => fixOf(finding, text))).toEqual(findings.map(() => undefined));
  });
});

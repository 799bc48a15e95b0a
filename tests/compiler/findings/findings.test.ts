/**
 * Every code has a golden file that holds a plan and what the grower reads
 * about it. `UPDATE_GOLDEN=1 npx vitest run tests/compiler` writes them anew.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { collect, severityOf } from '../../../compiler/findings/collector.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { renderFinding } from '../../../compiler/findings/render.ts';
import { WORDS, wordsOf } from '../../../compiler/findings/words.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Units } from '../../../shared/measures.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { expectGolden, GOLDEN, goldenText } from '../../support/golden.ts';
import { measureOf, metricIn } from '../../support/metric.ts';
import { CASES, type Case } from './finding-cases.ts';

const FILE = 'my.plan.yaml';
/** They put right a metric quantity that the grower wrote, and so say it in its own unit. */
const ECHOES = ['comma-in-number', 'decimal-comma', 'unit-as-elsewhere'];
/** A longer source is cut in the golden file. */
const SHOWN = 4000;

/** The finding of the case's code, after checking that no other error came along. */
function found({ code, source, given }: Case): { text: string; units: Units; finding: Finding } {
  if (given) {
    const text = String(source);
    const start = text.indexOf(given.at);
    const span = { start, end: start + given.at.length };
    return {
      text,
      units: readPlan(source, { boards }).units,
      finding: itemAt(
        collect((report) => given.tell(report, span)),
        0,
      ),
    };
  }
  const { findings, text, units } = readPlan(source, { boards });
  const errors = findings.filter(({ severity }) => severity === 'error').map((one) => one.code);
  expect(errors).toEqual(severityOf(code) === 'error' ? [code] : []);
  const own = findings.filter((one) => one.code === code);
  expect(own).toHaveLength(1);
  return { text, units, finding: itemAt(own, 0) };
}

/** Every text among facts, but for what a plan would say (examples). */
function strings(facts: unknown): string[] {
  if (typeof facts === 'string') return [facts];
  if (typeof facts !== 'object' || facts === null) return [];
  return Object.entries(facts).flatMap(([key, value]) => (key === 'example' ? [] : strings(value)));
}

function golden(one: Case): string {
  const { text, units, finding } = found(one);
  const shown = text.length > SHOWN ? `${text.slice(0, 60)} … (${text.length} characters)\n` : text;
  const rendered = renderFinding(finding, { file: FILE, text, units });
  return goldenText(shown.replaceAll('\0', '␀'), [rendered]);
}

describe('findings', () => {
  test.each(CASES)('$code $slug', (one) => {
    expectGolden(one, golden(one));
  });

  test('every code has a golden file, and every golden file a code', () => {
    const codes = new Set(readdirSync(GOLDEN).map((name) => name.slice(0, name.indexOf('.'))));
    expect([...codes].sort()).toEqual(Object.keys(WORDS).sort());
  });

  test.each(CASES)('$code $slug: facts hold no sentence', (one) => {
    const { text, finding } = found(one);
    const sentences = strings(finding.facts).filter(
      (fact) => /[a-z]+ [a-z]+ [a-z]+/i.test(fact) && !text.includes(fact),
    );
    expect(sentences).toEqual([]);
  });

  test.each(CASES.filter(({ slug }) => !ECHOES.includes(slug)))(
    '$code $slug: a plan in inches hears no metric unit but its own',
    (one) => {
      const { text, finding } = found(one);
      const { title, message, suggestion = '' } = wordsOf(finding, 'us');
      const own = metricIn(text).map(measureOf);
      const measures = metricIn([title, message, suggestion].join('\n')).map(measureOf);
      expect(measures.filter((measure) => !own.includes(measure))).toEqual([]);
    },
  );

  test('no words are left with holes', () => {
    for (const name of readdirSync(GOLDEN)) {
      const said = readFileSync(new URL(name, GOLDEN), 'utf8').split('='.repeat(40))[1] ?? '';
      expect(said, name).not.toMatch(/undefined|NaN|``|\[object/);
    }
  });
});

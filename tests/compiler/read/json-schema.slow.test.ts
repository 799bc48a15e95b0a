/**
 * The JSON Schema that editors use is current, explains every key, and takes
 * the sample plans. `UPDATE_GOLDEN=1 npx vitest run tests/compiler` writes it anew.
 */

import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { Ajv } from 'ajv';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { planJsonSchema } from '../../../compiler/read/json-schema.ts';

const file = new URL('../../../shared/plan.schema.json', import.meta.url);
const folder = new URL('../../../shared/plans/', import.meta.url);
const samples = readdirSync(folder).filter((name) => name.endsWith('.plan.yaml'));

/** Every property of the schema as `path: its schema`. */
function properties(schema: unknown, path = ''): [string, Record<string, unknown>][] {
  if (typeof schema !== 'object' || schema === null) return [];
  return Object.entries(schema).flatMap(([key, value]): [string, Record<string, unknown>][] => {
    if (key !== 'properties') return properties(value, path);
    return Object.entries(value as Record<string, Record<string, unknown>>).flatMap(
      ([name, inner]): [string, Record<string, unknown>][] => [
        [`${path}.${name}`, inner],
        ...properties(inner, `${path}.${name}`),
      ],
    );
  });
}

describe('plan.schema.json', () => {
  const now = `${JSON.stringify(planJsonSchema(), null, 2)}\n`;
  if (process.env.UPDATE_GOLDEN) writeFileSync(file, now);

  test('is current', () => {
    expect(readFileSync(file, 'utf8')).toBe(now);
  });

  test('describes every key in one line', () => {
    const all = properties(planJsonSchema());
    expect(all.length).toBeGreaterThan(100);
    const silent = all.filter(([, inner]) => !/^[^\n]{5,140}$/.test(String(inner.description ?? '')));
    expect(silent.map(([path]) => path)).toEqual([]);
  });

  test.each(samples)('takes %s', (name) => {
    const validate = new Ajv({
      strict: true,
      strictTypes: false,
      strictRequired: false,
      allowUnionTypes: true,
    }).compile(planJsonSchema());
    validate(parse(readFileSync(new URL(name, folder), 'utf8')));
    expect(validate.errors).toBeNull();
  });

  test.each([
    ['an unknown key', { paint: 'white' }],
    ['a missing section', { zones: undefined }],
    ['a bare number for a length', { bags: { tall: { footprint: [5, 8], height: '19 in', fill: '5 lb' } } }],
  ])('does not take %s', (_, change) => {
    const plan: unknown = parse(readFileSync(new URL('smallest.plan.yaml', folder), 'utf8'));
    const changed: unknown = JSON.parse(JSON.stringify({ ...(plan as object), ...change }));
    expect(new Ajv({ strict: false }).compile(planJsonSchema())(changed)).toBe(false);
  });
});

import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readPlan } from '../../../compiler/read-plan.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const folder = new URL('../../../shared/plans/', import.meta.url);
const files = readdirSync(folder).filter((name) => name.endsWith('.plan.yaml'));

describe('sample plans', () => {
  test.each(files)('%s reads without an error', (name) => {
    const { plan, findings } = readPlan(readFileSync(new URL(name, folder)), { boards });
    expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(plan).toBeDefined();
  });
});

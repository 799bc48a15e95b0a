import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readPlan } from '../../../compiler/read-plan.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const folder = new URL('../../../shared/plans/', import.meta.url);
const files = readdirSync(folder).filter((name) => name.endsWith('.plan.yaml'));

describe('sample plans', () => {
  test.each(files)('%s reads without an error', (name) => {
    const { plan, findings } = readPlan(readFileSync(new URL(name, folder)), { boards });
    expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(plan).toBeDefined();
  });

  test.each(['smallest', 'wire-rack'])('%s gives its bags as they stand', (name) => {
    const { plan } = readPlan(readFileSync(new URL(`${name}.plan.yaml`, folder)), { boards });
    // A gusseted bag of 19 in stands some 15 to 16 in, folded and sealed (common practice, no source).
    for (const { height } of sure(plan).bags) {
      expect(height).toBeGreaterThanOrEqual(15 * 25.4 - 1e-6);
      expect(height).toBeLessThanOrEqual(16 * 25.4);
    }
  });
});

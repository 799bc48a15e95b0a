import fc from 'fast-check';
import { describe, it } from 'vitest';
import { killAt } from './killing.ts';

describe('a desk that is killed while it saves', () => {
  it('leaves the old text or the new one, at a hundred random moments', async () => {
    await killAt(fc.sample(fc.integer({ min: 0, max: 150 }), { numRuns: 100, seed: 20260216 }));
  });
});

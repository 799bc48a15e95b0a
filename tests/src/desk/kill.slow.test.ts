import { describe, it } from 'vitest';
import { killAt } from './killing.ts';

describe('a desk that is killed while it saves', () => {
  it('leaves the old text or the new one', async () => {
    await killAt([3, 40, 11, 90]);
  });
});

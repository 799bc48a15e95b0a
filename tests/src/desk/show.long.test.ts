/** The whole job in one go, on the emulated chip. */

import { afterAll, beforeAll, expect, it } from 'vitest';
import { needs } from '../../support/needs.ts';
import { chromiumDesks, settled } from './page.ts';
import { answerVisit, cutPower, dragLamp, flashVirtual, letPass, mendFault, seeReview } from './show.ts';

needs(['chromium'], 'the whole job on the desk', () => {
  const desks = chromiumDesks();

  beforeAll(desks.begin);
  afterAll(desks.end);

  it('from a plan with a fault to what came of a week', async () => {
    await desks.withDesk(['pantry'], async (all) => {
      await settled(all.page);
      await mendFault(all);
      await dragLamp(all);
      await cutPower(all);
      await flashVirtual(all, true, '2026-03-20');
      const log = await letPass(all, '7d');
      expect(log).toMatch(/2026-03-23 21:00 +visit missed: look in A, B, C and D/);
      expect(log).toMatch(/2026-03-24 +light: output 1 \(A-left\) \d/);
      // The look is overdue: what is answered first is that of the first zone.
      expect(await answerVisit(all)).toBe('look in A');
      expect(await seeReview(all)).toMatch(/2026-03-23 18:00\s*look in B, C and D was missed/);
    });
  });
});

/**
 * The first half of the fixed slice of every campaign: no findings. LEANWARD_ALL=1 runs the whole slice,
 * `npm run campaign` more.
 */

import { expect, it } from 'vitest';
import { needs } from '../support/needs.ts';
import { many } from '../support/share.ts';
import { CAMPAIGNS } from './all.ts';
import { runCampaign } from './campaign.ts';

const SEED = 1;

for (const campaign of CAMPAIGNS) {
  needs(campaign.needs ?? [], `campaign ${campaign.name}`, () => {
    it(campaign.about, async () => {
      const slice = many(campaign.slice);
      const { findings, cases } = await runCampaign(campaign, SEED, 0, (done) => done >= slice);
      expect(findings).toEqual([]);
      expect(cases).toBe(slice);
    });
  });
}

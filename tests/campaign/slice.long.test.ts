/** The fixed slice of every campaign: no findings. `npm run campaign` runs more of them. */

import { expect, it } from 'vitest';
import { needs } from '../support/needs.ts';
import { CAMPAIGNS } from './all.ts';
import { runCampaign } from './campaign.ts';

const SEED = 1;

for (const campaign of CAMPAIGNS) {
  needs(campaign.needs ?? [], `campaign ${campaign.name}`, () => {
    it(campaign.about, async () => {
      const { findings, cases } = await runCampaign(campaign, SEED, 0, (done) => done >= campaign.slice);
      expect(findings).toEqual([]);
      expect(cases).toBe(campaign.slice);
    });
  });
}

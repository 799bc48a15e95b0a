/** The fixed slice of every campaign: no findings. `npm run campaign` runs more of them. */

import { describe, expect, it } from 'vitest';
import { CAMPAIGNS } from './all.ts';
import { runCampaign } from './campaign.ts';

const SEED = 1;

describe('campaigns', () => {
  it.each(CAMPAIGNS)('$name: $about', async (campaign) => {
    const { findings, cases } = await runCampaign(campaign, SEED, 0, (done) => done >= campaign.slice);
    expect(findings).toEqual([]);
    expect(cases).toBe(campaign.slice);
  });
});

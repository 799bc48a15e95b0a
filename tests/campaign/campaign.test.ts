/** The campaigns' own machinery: what finds nothing must be able to find something. */

import { expect, it } from 'vitest';
import { draw } from '../../firmware-sim/world/random.ts';
import { type Campaign, chanceOf, idOf, merged, readId, runCampaign } from './campaign.ts';

const drawn: number[] = [];
const campaign: Campaign = {
  ...{ name: 'sample', about: 'fails by chance', unit: 'draws', share: 1, slice: 1 },
  run(chance) {
    const value = draw(chance, 10);
    drawn.push(value);
    if (value === 0) throw new Error('a zero');
    return 1;
  },
};

it('finds what does not hold, and replays it by its id alone', async () => {
  const all = await runCampaign(campaign, 3, 0, (cases) => cases === 60);
  expect(all.cases).toBe(60);
  expect(all.findings.length).toBeGreaterThan(0);
  expect(all.units).toBe(60 - all.findings.length);
  for (const { id } of all.findings) {
    const { seed, index } = readId(id) ?? { seed: 0, index: 0 };
    const again = await runCampaign(campaign, seed, index, (cases) => cases === 1);
    expect(again.findings.map((finding) => finding.id)).toEqual([id]);
  }
});

it('gives each case chance of its own', () => {
  const first = (name: string, seed: number, index: number): number => draw(chanceOf(name, seed, index), 1e9);
  const values = [first('a', 1, 0), first('a', 1, 1), first('a', 2, 0), first('b', 1, 0), first('a', 1, 10)];
  expect(new Set(values).size).toBe(values.length);
  expect(first('a', 1, 0)).toBe(values[0]);
  expect(readId(idOf('chip-torn', 7, 12))).toEqual({ name: 'chip-torn', seed: 7, index: 12 });
  expect(readId('chip-torn')).toBeUndefined();
});

it('counts what some cases are besides, over all processes', async () => {
  const run = (_: unknown, index: number) => ({ units: 2, also: index % 3 === 0 ? 1 : 0 });
  const odd: Campaign = { ...campaign, also: 'by thirds', run };
  const parts = await Promise.all(
    [0, 1].map((first) => runCampaign(odd, 1, first, (cases) => cases === 6, 2)),
  );
  const [all] = merged(parts.map((part) => [part]));
  expect(all?.units).toBe(24);
  expect(all?.also).toEqual([4, 'by thirds']);
  expect(merged([[await runCampaign(campaign, 3, 0, (cases) => cases === 1)]])[0]).not.toHaveProperty('also');
});

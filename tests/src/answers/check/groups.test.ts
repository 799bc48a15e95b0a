/** Like findings are told once, what matters first, and none is lost. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { sure } from '../../../../shared/assert.ts';
import { alikeLines, groupAssumed, groupFindings } from '../../../../src/answers/check/groups.ts';
import { checkJson } from '../../../../src/answers/check/text.ts';
import { BOARDS as boards } from '../../../support/boards.ts';
import { sample } from '../../../support/read-plan.ts';

const open = compilePlan(new TextEncoder().encode(sample('pantry-open')), { boards });
const groups = groupFindings(open.findings, open.plan);

describe('findings of the rack without screens', () => {
  it('are all in one group each', () => {
    const all = groups.flatMap(({ told, alike }) => [told, ...alike]);
    expect(new Set(all)).toEqual(new Set(open.findings));
    expect(all).toHaveLength(open.findings.length);
  });

  it('are told by code, cause and regime: six lots of light instead of eighteen warnings', () => {
    const light = open.findings.filter((one) => one.code.startsWith('light-'));
    const told = groups.filter((one) => one.told.code.startsWith('light-'));
    expect(told.length).toBeLessThanOrEqual(light.length / 3);
    const kinds = light.map((one) => `${one.code} ${'cause' in one.facts ? one.facts.cause : ''}`);
    expect(told).toHaveLength(new Set(kinds).size);
  });

  it('come light first, then load, then the rest, then notes', () => {
    const order = groups.map(({ told: { code, severity } }) => {
      if (severity === 'note') return 'note';
      return ['light', 'load'].find((family) => code.startsWith(family)) ?? 'rest';
    });
    expect([...new Set(order)]).toEqual(['light', 'load', 'rest', 'note']);
    expect(order).toEqual([...order].sort((a, b) => rank(a) - rank(b)));
  });

  it('name every other place with the remedy tried there', () => {
    const dark = sure(groups.find(({ told }) => told.code === 'light-in-dark'));
    expect(alikeLines(dark, 'metric')).toContain(
      '  batch `late`, zone `D`, stage `colonise`: A screen on shelf `lower` at x = 600 mm gives 0 lx.',
    );
    expect(alikeLines({ told: dark.told, alike: [] }, 'metric')).toEqual([]);
  });

  it('machines get them all, one by one', () => {
    expect(checkJson('rack', open).findings).toHaveLength(open.findings.length);
  });
});

it('two regimes are told apart', () => {
  const regimes = ['antler', 'other'];
  const plan = open.plan && {
    ...open.plan,
    batches: open.plan.batches.map((one, i) => ({
      ...one,
      zones: one.zones.map((stay) => ({ ...stay, regime: regimes[i] ?? '' })),
    })),
  };
  expect(groupFindings(open.findings, plan).length).toBeGreaterThan(groups.length);
});

describe('assumed values', () => {
  const because = 'usual';
  const of = (path: string, value: string) => ({ path, value, confidence: 'low' as const, because });

  it('of one key and value are one row with the entries that share it', () => {
    const rows = groupAssumed([
      of('shelves.one.deck', 'wire'),
      of('surfaces', 'black'),
      of('shelves.two.deck', 'wire'),
      of('shelves.three.deck', 'solid'),
      of('regimes.antler.wake.start', '08:00'),
      of('regimes.antler.climb.start', '08:00'),
    ]);
    expect(rows.map(({ path, value, entries }) => [path, value, ...entries])).toEqual([
      ['shelves.*.deck', 'wire', 'one', 'two'],
      ['surfaces', 'black'],
      ['shelves.three.deck', 'solid'],
      ['regimes.*.start', '08:00', 'antler.wake', 'antler.climb'],
    ]);
  });
});

function rank(family: string): number {
  return ['light', 'load', 'rest', 'note'].indexOf(family);
}

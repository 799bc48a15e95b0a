import { describe, expect, test } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { starterPlan } from '../../../compiler/write/starter.ts';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const sealed = sure(dayFromIso('2026-03-16'));
const shelfCounts = [1, 2, 3, 4, 5, 6];
const places = ['Europe/Lisbon', 'America/Argentina/Buenos_Aires', 'Asia/Kathmandu', 'Etc/GMT+5', 'UTC'];

describe('starter plan', () => {
  test.each(shelfCounts.flatMap((shelves) => (['in', 'mm'] as const).map((units) => ({ shelves, units }))))(
    '$shelves shelves in $units reads without error',
    ({ shelves, units }) => {
      const text = starterPlan({ shelves, units, timezone: 'America/Chicago', sealed });
      const { plan, findings } = readPlan(text, { boards });
      expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
      expect(findings.map(({ code }) => code).sort()).toEqual(['room-dark', 'value-assumed']);
      expect(plan?.shelves).toHaveLength(shelves);
      expect(plan?.batches[0]?.zones).toHaveLength(shelves);
      const climb = plan?.batches[0]?.zones[0]?.stages.find(({ name }) => name === 'climb');
      expect(climb?.lean).toMatchObject({ motion: 'sway', sides: [180, 0], every: 7 });
    },
  );

  test.each(places)('at %s', (timezone) => {
    const { plan } = readPlan(starterPlan({ shelves: 2, units: 'mm', timezone, sealed }), { boards });
    expect(plan?.timezone).toBe(timezone);
  });

  // What a grower sees first should be a rack that works.
  test.each([1, 4, 6].flatMap((shelves) => (['in', 'mm'] as const).map((units) => ({ shelves, units }))))(
    '$shelves shelves in $units: every bag gets its light from the side asked for',
    ({ shelves, units }) => {
      const text = starterPlan({ shelves, units, timezone: 'America/Chicago', sealed });
      const codes = new Set(compilePlan(text, { boards }).findings.map(({ code }) => code));
      // Lamps this near light the middle most: a note says so, and nothing that is asked is missed.
      expect([...codes].sort()).toEqual(['light-by-height', 'light-cap-range', 'room-dark', 'value-assumed']);
    },
  );

  test('front and back of one shelf never share an output', () => {
    for (const shelves of shelfCounts) {
      const { plan } = readPlan(starterPlan({ shelves, units: 'in', timezone: 'UTC', sealed }), { boards });
      for (const lamp of plan?.lamps ?? []) {
        expect(lamp.output.number % 2).toBe(lamp.beside?.side === 'front' ? 1 : 0);
      }
    }
  });

  test('what is commented out reads too', () => {
    const text = starterPlan({ shelves: 2, units: 'in', timezone: 'UTC', sealed })
      .replace(/^( *)# (circuit: |screens:|background:|regimes:)/gm, '$1$2')
      .replace(/^# ( +(?:right-end|window|antler|-))/gm, '$1');
    const { plan, findings } = readPlan(text, { boards });
    expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(plan?.circuit).toBeDefined();
    expect(plan?.screens).toHaveLength(1);
    expect(plan?.background).toHaveLength(1);
  });
});

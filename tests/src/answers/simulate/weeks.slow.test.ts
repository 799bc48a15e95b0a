import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { SoundPlan } from '../../../../compiler/compiled.ts';
import { sure } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { parseEvent } from '../../../../src/answers/simulate/events.ts';
import { differs, growWeeks } from '../../../../src/answers/simulate/weeks.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';

function soundPlan(name: string): SoundPlan {
  const compiled = compilePlan(samplePlan(name), { boards: BOARDS, advise: false });
  const { plan, timeline } = compiled;
  if (!plan || !timeline) throw new Error(`${name} has errors`);
  return { ...compiled, plan, timeline };
}

/** Zone, day, asked and got, where they differ. */
function others(sound: SoundPlan, ...events: readonly string[]): string[] {
  const weeks = growWeeks(sound, events.map(parseEvent));
  if (!weeks) throw new Error('nothing grew');
  return weeks.days
    .filter(differs)
    .map(
      ({ zone, day, asked, lit }) =>
        `${sound.plan.zones[zone]?.name} ${isoDate(day)} ${asked} ${Math.round(lit)}`,
    );
}

describe('the weeks on the simulated controller', () => {
  it('are lit as the pantry asks, every day; a cut takes its hours from those who were to have light', () => {
    const pantry = soundPlan('pantry');
    expect(others(pantry)).toEqual([]);
    // A and C wake from 2026-03-16: eight hours from 09:00. B and D are still dark.
    const missed = others(pantry, '2026-03-20 12:00 cut 2h');
    expect(missed.map((line) => line.replace(/ \d+$/, ''))).toEqual(['A 2026-03-20 480', 'C 2026-03-20 480']);
    for (const line of missed) expect(Math.abs(Number(line.split(' ').at(-1)) - 360)).toBeLessThanOrEqual(1);
    expect(others(pantry, '2026-03-20 18:00 cut 2h')).toEqual([]);
    // A clock without a battery loses the cut; the controller goes on at the end of the last day it logged, four
    // hours too early (behaviour.md, a start): the light of each day is all there, and half of it at other hours.
    const late = growWeeks(
      pantry,
      ['2026-03-20 18:00 clock stopped', '2026-03-20 18:00 cut 2h'].map(parseEvent),
    );
    const day = sure(late).days.find((one) => one.zone === 0 && isoDate(one.day) === '2026-03-22');
    expect(day && { ...day, lit: Math.round(day.lit), astray: Math.round(day.astray) }).toMatchObject({
      ...{ asked: 480, lit: 480, astray: 240 },
    });
    expect(day && differs(day)).toBe(true);
  });

  it('counts a photoperiod that runs past midnight for both days', () => {
    const text = samplePlan('pantry').replace(
      'photoperiod: 8 h, start: 09:00',
      'photoperiod: 8 h, start: 20:00',
    );
    const compiled = compilePlan(text, { boards: BOARDS, advise: false });
    const { plan, timeline } = compiled;
    if (!plan || !timeline) throw new Error('the plan has errors');
    expect(others({ ...compiled, plan, timeline })).toEqual([]);
  });
});

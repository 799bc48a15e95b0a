/** Contact life, counted by hand: 100,000 operations (the boards' rating) at so many a day. */

import { describe, expect, test } from 'vitest';
import { checkContacts } from '../../../compiler/checks/contacts.ts';
import { collect } from '../../../compiler/findings/collector.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { DayBlocks } from '../../../compiler/steer/block.ts';
import { civilDay, minutes } from '../../../shared/units.ts';
import { smallest } from '../../support/read-plan.ts';

/** Output 1 on so many times a day for a hundred days. */
function days(times: number): DayBlocks[] {
  const blocks = Array.from({ length: times }, (_, i) => ({
    controller: 0,
    output: 1,
    anchor: minutes(0),
    clock: 'civil' as const,
    from: i * 30,
    length: 15,
    level: 16,
    continuous: false,
  }));
  return Array.from({ length: 100 }, (_, i) => ({ day: civilDay(9500 + i), blocks }));
}

const contacts = (plan: ResolvedPlan, of: readonly DayBlocks[]): readonly Finding[] =>
  collect((report) => checkContacts(plan, of, report));

describe('contact life', () => {
  test('two switchings a day last for good', () => {
    expect(contacts(smallest(), days(2))).toEqual([]);
  });

  test('forty a day wear a contact in under seven years', () => {
    const [found, ...more] = contacts(smallest(), days(40));
    // 100000 / 40 = 2500 days.
    expect(found).toMatchObject({
      code: 'load-contact-life',
      facts: { number: 1, operations: 4000, life: 100_000, years: 6.8 },
    });
    expect(more).toEqual([]);
  });

  test('outputs without contacts do not wear', () => {
    const plan = smallest(['shelves:', 'controllers: { rack: { board: mega328-dim6 } }\nshelves:']);
    expect(contacts(plan, days(40))).toEqual([]);
  });
});

/** What is said to follow when a visit is missed, against the list of visits itself. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { VisitOccurrence } from '../../../../compiler/timeline/visit.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { missedWords, visitOf } from '../../../../src/answers/simulate/missed.ts';
import { visitKey } from '../../../../src/answers/visits/outcomes.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';

const compiled = compilePlan(samplePlan('pantry'), { boards: BOARDS, advise: false });
const plan = sure(compiled.plan);
const { visits } = sure(compiled.timeline);
const of = (kind: VisitOccurrence['kind']): VisitOccurrence[] =>
  visits.filter((one) => one.kind === kind && one.zone === 0).sort((a, b) => a.day - b.day);
const words = (visit: VisitOccurrence): string => missedWords(plan, visits, visit);

describe('a visit that is missed', () => {
  it('is found again by its key, and no other is', () => {
    const visit = itemAt(of('look'), 1);
    expect(visitOf(visits, visitKey(visit.zone, visit.kind, visit.day))).toBe(visit);
    expect(visitOf(visits, visitKey(visit.zone, visit.kind, visit.day + 100_000))).toBeUndefined();
  });

  it('stays on the list until the next of its kind in its zone; the last stays for good', () => {
    for (const kind of ['look', 'lift'] as const) {
      const mine = of(kind);
      expect(mine.length).toBeGreaterThan(2);
      mine.forEach((visit, n) => {
        const next = mine[n + 1];
        expect(words(visit)).toMatch(
          new RegExp(
            `^The ${kind} in A, due on ${isoDate(visit.day)}, stays on the list, overdue, until it is done `,
          ),
        );
        if (next) expect(words(visit)).toContain(`or the next one comes on ${isoDate(next.day)}.`);
        else expect(words(visit)).not.toContain('the next one comes');
      });
    }
  });

  it('costs what its kind is for', () => {
    expect(words(itemAt(of('lift'), 0))).toMatch(/touches the film by then stays on it\.$/);
    expect(words(itemAt(of('look'), 0))).toMatch(/such as mould, is seen later\.$/);
    const turn: VisitOccurrence = { ...itemAt(of('look'), 0), kind: 'turn', side: 90 as never };
    expect(words(turn)).toMatch(/their growth is not drawn to the right but goes on as before\.$/);
  });

  it('of a harvest stays open for its days, the last of them included', () => {
    const harvest = itemAt(of('harvest'), 0);
    const last = isoDate((harvest.day + harvest.days - 1) as typeof harvest.day);
    expect(words(harvest)).toBe(
      `The harvest in A, due on ${isoDate(harvest.day)}, stays open until ${last}; after that it is told as missed.`,
    );
  });
});

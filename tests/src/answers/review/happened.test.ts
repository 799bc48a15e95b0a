/** What happened is told by weight, many of a kind in a line. */

import { expect, it } from 'vitest';
import type { Note } from '../../../../src/answers/book/note.ts';
import { happenedLines } from '../../../../src/answers/review/happened.ts';
import type { Incident } from '../../../../src/answers/review/incidents.ts';
import { day } from '../visits/plan.ts';

const DAY = 86_400;
const FIRST = day('2026-04-01');
const NAMING = { offsets: { initialQuarters: 0, changes: [] }, names: {} };
const at = (offset: number): number => (FIRST + offset) * DAY + 64_800;
const missed = (offset: number, zone: string): Incident => ({
  ...{ kind: 'visit', at: at(offset), zone, visit: 'lift', answer: 'missed', lateMinutes: undefined },
  controller: 'rack',
});
const outage: Incident = { kind: 'outage', at: at(30), from: at(30), until: at(31), controller: 'rack' };
const hand: Incident = {
  ...{ kind: 'hand', at: at(2), until: at(2) + 600, outputs: 1, on: true, controller: 'rack' },
};
const cull: Note = {
  ...{ id: '1', plan: 'plan', batch: 'early', zone: 'A', bag: 'A2', day: day('2026-04-20'), writtenMs: 0 },
  ...{ kind: 'cull', heightMm: undefined, leanDeg: undefined, photo: undefined, massG: undefined },
  ...{ why: 'mould', text: undefined },
};

it('outages and culls first, hands after them, forty missed visits last and in one line', () => {
  const visits = Array.from({ length: 40 }, (_, i) => [missed(i, 'A'), missed(i, 'C')]).flat();
  const review = {
    incidents: [...visits, outage, hand],
    notes: [cull],
    from: FIRST,
    until: day('2026-06-01'),
  };
  expect(happenedLines(review, NAMING)).toEqual([
    '2026-04-20        A2 was taken out (mould)',
    '2026-05-01 18:00  no power for 1 d',
    '2026-04-03 18:00  output 1 switched on by hand for 10 min',
    '40 visits from 2026-04-01 to 2026-05-10 were missed (40 lifts; zones A and C)',
  ]);
});

it('a few missed visits keep a line each', () => {
  const review = { incidents: [missed(1, 'A'), missed(2, 'A')], notes: [], from: FIRST, until: FIRST };
  expect(happenedLines(review, NAMING)).toHaveLength(2);
});

it('days without an explanation are counted', () => {
  const odd = Array.from(
    { length: 9 },
    (_, i): Incident => ({
      ...{ kind: 'unexplained', at: at(i), day: day('2026-04-01'), controller: 'rack' },
    }),
  );
  const review = { incidents: odd, notes: [], from: FIRST, until: FIRST };
  expect(happenedLines(review, NAMING)).toEqual([
    '9 days from 2026-04-01 to 2026-04-09 are unexplained: their checksums are not what table and log give',
  ]);
});

it('lamps that were tried one by one are one line, a single one keeps its own with its seconds', () => {
  const tried = (n: number): Incident => ({
    ...{ kind: 'hand', at: at(2) + 20 * n, until: at(2) + 20 * n + 12, outputs: 1 << n, on: true },
    controller: 'rack',
  });
  const said = (incidents: Incident[]): string[] =>
    happenedLines({ incidents, notes: [], from: FIRST, until: day('2026-06-01') }, NAMING);
  expect(said([tried(0)])).toEqual(['2026-04-03 18:00  output 1 switched on by hand for 12 s']);
  expect(said([...Array.from({ length: 8 }, (_, n) => tried(n)), hand])).toEqual([
    '2026-04-03 18:00  output 1 switched on by hand for 10 min',
    '8 times on 2026-04-03 an output was switched by hand for less than 5 min (2 min in all)',
  ]);
});

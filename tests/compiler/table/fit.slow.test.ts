/** Tables for plans whose visits do not all fit: light whole, reminders up to a day that is told. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import { traceTable } from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { civilDay } from '../../../shared/units.ts';
import { BOARDS } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';

const DAY = 86_400;
const FIRST = sure(dayFromIso('2026-02-16'));
const ZONES = Array.from({ length: 8 }, (_, at) => `z${at}`);
const on = (after: number): string => isoDate(civilDay(FIRST + after));

/** Eight zones with a lamp each, a batch a week, and what makes visits irregular. */
function rack(visits: string, began: (at: number) => string = () => ''): string {
  return [
    'leanward: 1',
    'place: { timezone: Europe/Lisbon }',
    'shelves:',
    ...ZONES.map(
      (zone, at) => `  ${zone}s: { height: ${300 + at * 600} mm, size: [900 mm, 400 mm], clear: 560 mm }`,
    ),
    'zones:',
    ...ZONES.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
    'lamps:',
    ...ZONES.map(
      (zone, at) => `  ${zone}-left: { beside: ${zone}, side: left, output: ${at + 1}, flux: 400 lm }`,
    ),
    'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
    'regimes:',
    '  antler:',
    '    - { stage: colonise, days: 28 }',
    '    - { stage: wake, days: 14, lean: { hold: left } }',
    '    - { stage: climb, days: 49, lean: { hold: left } }',
    '    - { stage: ripen, days: 21, lean: { hold: left } }',
    'batches:',
    ...ZONES.map((zone, at) => `  b${at}: { sealed: ${on(7 * at)}, zones: [${zone}]${began(at)} }`),
    `visits: { hours: [08:00, 21:00], look: { every: 7 d }, lift: { every: 3 d }, ${visits} }`,
    '',
  ].join('\n');
}

const PLANS: Readonly<Record<string, string>> = {
  'a holiday': rack(`away: [[${on(70)}, ${on(79)}]]`),
  'few bags a day': rack('most: 4 bags'),
  'stages seen late': rack('', (at) => `, began: { wake: ${on(7 * at + 28 + (at % 5))} }`),
  'all of these': rack(
    `most: 4 bags, away: [[${on(40)}, ${on(46)}], [${on(101)}, ${on(111)}]]`,
    (at) => `, began: { wake: ${on(7 * at + 28 + (at % 5))} }`,
  ),
};

const errors = ({ findings }: Compiled): unknown[] =>
  findings.filter(({ severity }) => severity === 'error').map(({ code, facts }) => ({ code, facts }));

const key = (visit: { zone: number; kind: string; day: number }): string =>
  `${visit.zone} ${visit.kind} ${visit.day}`;

/** The visits that a table's groups say, with days from 2000-01-01. */
function visitsIn({ table }: Compiled['tables'][number]): string[] {
  const groups = table.visits?.groups ?? [];
  return groups.flatMap(({ entries, bindings }) =>
    bindings.flatMap(({ startDay, zones }) =>
      entries.flatMap((entry) => {
        const first = table.baseDay + startDay + entry.from;
        const days =
          entry.form === 'every'
            ? Array.from({ length: entry.count }, (_, i) => first + i * entry.every)
            : entry.form === 'weekdays'
              ? []
              : [first];
        return ZONES.flatMap((_, zone) =>
          zones & (1 << zone) ? days.map((day) => key({ zone, kind: entry.kind, day })) : [],
        );
      }),
    ),
  );
}

describe.each(Object.entries(PLANS))('eight zones with %s', (name, text) => {
  const result = compilePlan(text, { boards: BOARDS, advise: false });
  const timeline = sure(result.timeline);

  it('can be flashed, with all visits up to a day that is told', () => {
    expect(errors(result)).toEqual([]);
    const table = itemAt(result.tables, 0);
    expect(table.encoded.bytes.length).toBeLessThanOrEqual(TABLE_MAX_BYTES);
    const until = table.remindersUntil ?? Number.POSITIVE_INFINITY;
    const due = timeline.visits.filter(({ day }) => day <= until);
    expect(visitsIn(table).sort()).toEqual(due.map(key).sort());
    const told = ofCode(result.findings, 'visit-reminders-end');
    expect(told.map(({ facts }) => facts.until)).toEqual(
      table.remindersUntil === undefined ? [] : [isoDate(table.remindersUntil)],
    );
    if (name === 'all of these') expect(until - FIRST).toBeLessThan(150);
  });

  it('has all its light all the same', () => {
    const bare = compilePlan(text.replace(/^visits:.*$/m, 'visits: { hours: [08:00, 21:00] }'), {
      boards: BOARDS,
      advise: false,
    });
    const trace = ({ tables }: Compiled): string =>
      [...traceTable(itemAt(tables, 0).encoded.bytes, FIRST * DAY, (FIRST + 200) * DAY)]
        .map(({ utc, levels }) => `${utc} ${[...levels].join('.')}`)
        .join('\n');
    expect(trace(result)).toBe(trace(bare));
  });

  it('has room for what comes when it is flashed again, without what is over', () => {
    const { remindersUntil } = itemAt(result.tables, 0);
    if (remindersUntil === undefined) return;
    const today = civilDay(remindersUntil);
    const again = compilePlan(text, { boards: BOARDS, fromDay: today, advise: false });
    expect(errors(again)).toEqual([]);
    const later = itemAt(again.tables, 0).remindersUntil ?? Number.POSITIVE_INFINITY;
    expect(later).toBeGreaterThan(remindersUntil);
    // `check` on that day says the same as the flash.
    const checked = compilePlan(text, { boards: BOARDS, today: () => today, advise: false });
    expect(checked.tablesFrom).toBe(today);
    expect(itemAt(checked.tables, 0).encoded.bytes).toEqual(itemAt(again.tables, 0).encoded.bytes);
  });
});

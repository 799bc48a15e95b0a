import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { openSchedule, targetsAt } from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';
import { sealedInWeek, WEEKS, weeklyRack, weeklySize } from './weekly-rack.ts';

const errors = (result: ReturnType<typeof compilePlan>): string[] =>
  result.findings.filter(({ severity }) => severity === 'error').map(({ code }) => code);

describe('a batch a week on the wire rack, for two years', () => {
  it('is not too large for the board at the start, nor in each twelfth week', () => {
    for (let week = 0; week < WEEKS; week += 12) expect(weeklySize(week)).toBeLessThanOrEqual(440);
  });

  it('leaves finished batches out of the table, and only those', () => {
    const text = weeklyRack(30);
    const early = compilePlan(text, { boards: BOARDS, fromDay: sealedInWeek(0) });
    const late = compilePlan(text, { boards: BOARDS, fromDay: sealedInWeek(29) });
    expect(errors(early)).toEqual([]);
    expect(sure(early.plan).batches).toHaveLength(30);
    const over = sure(late.plan).batches.every((batch) =>
      batch.zones.every((stay) => stay.free > sealedInWeek(29)),
    );
    expect(over).toBe(true);
    expect(sure(late.plan).batches.length).toBeGreaterThan(4);
  });
});

describe("light that begins on a batch's last evening", () => {
  it('burns on after midnight in a table compiled on the day the batch is over', () => {
    const text = samplePlan('pantry').replace(
      'stage: ripen\n      days: 21\n      photoperiod: 12 h\n      start: 08:00',
      'stage: ripen\n      days: 21\n      photoperiod: 12 h\n      start: 20:00',
    );
    // Batch `early` ends with 2026-06-07 (112 days from 16 February); 02:00 in Lisbon is 01:00 UTC in June.
    const over = sure(dayFromIso('2026-06-08'));
    const whole = itemAt(compilePlan(text, { boards: BOARDS }).tables, 0).encoded.bytes;
    const later = itemAt(compilePlan(text, { boards: BOARDS, fromDay: over }).tables, 0).encoded.bytes;
    const night = utcSeconds(over * 86_400 + 3600);
    expect([...targetsAt(sure(openSchedule(whole)), night)].slice(0, 2)).toEqual([255, 255]);
    expect([...targetsAt(sure(openSchedule(later)), night)]).toEqual([
      ...targetsAt(sure(openSchedule(whole)), night),
    ]);
  });
});

describe('the sample plans', () => {
  it.each(['smallest', 'pantry', 'pantry-open', 'wire-rack'])(
    '%s compiles unchanged, without an error',
    (name) => {
      const result = compilePlan(samplePlan(name), { boards: BOARDS });
      expect(errors(result)).toEqual([]);
      expect(result.tables).toHaveLength(1);
    },
  );

  it('pantry takes at most 128 bytes, its schedule part at most 64', () => {
    const { costs } = itemAt(compilePlan(samplePlan('pantry'), { boards: BOARDS }).tables, 0);
    expect(costs.total).toBeLessThanOrEqual(128);
    expect(costs.schedule).toBeLessThanOrEqual(64);
  });

  it('too much for one slot is told with what costs what', () => {
    const zones = Array.from({ length: 8 }, (_, at) => `z${at}`);
    const lines = [
      'leanward: 1',
      'place: { timezone: Europe/Lisbon }',
      'shelves:',
      ...zones.map(
        (zone, at) => `  ${zone}s: { height: ${300 + at * 600} mm, size: [900 mm, 400 mm], clear: 560 mm }`,
      ),
      'zones:',
      ...zones.map((zone) => `  ${zone}: { shelf: ${zone}s, x: [150 mm, 750 mm], bags: [2, 1] }`),
      'lamps:',
      ...zones.map(
        (zone, at) => `  ${zone}-left: { beside: ${zone}, side: left, output: ${at + 1}, flux: 400 lm }`,
      ),
      'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
      'regimes:',
      ...zones.flatMap((zone, at) => [
        `  r${zone}:`,
        ...Array.from({ length: 12 }, (_, k) => {
          const light = `photoperiod: ${3 + ((at + k) % 9)} h, start: "0${(at + k) % 9}:${10 + at}"`;
          return `    - { stage: s${k}, days: ${5 + k}, ${light}, level: [1 lx, 100000 lx], lean: { hold: left } }`;
        }),
      ]),
      'batches:',
      ...zones.map(
        (zone) => `  b${zone}: { sealed: 2026-02-16, zones: [${zone}], bag: tall, regime: r${zone} }`,
      ),
      'visits: { hours: [08:00, 21:00] }',
      '',
    ];
    const result = compilePlan(lines.join('\n'), { boards: BOARDS });
    const { facts } = itemAt(ofCode(result.findings, 'table-too-large'), 0);
    expect(facts.bytes).toBeGreaterThan(440);
    expect(facts.costs.reduce((sum, { bytes }) => sum + bytes, 0)).toBe(facts.bytes);
    expect(result.tables).toEqual([]);
  });
});

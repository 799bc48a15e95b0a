/**
 * Speed, as ratios within one run: the commands beside `node -e 0`, a whole
 * grow beside expanding the same schedule with a kept recurrence library.
 */

import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import rrule from 'rrule';
import { compilePlan } from '../../compiler/compile.ts';
import { planDays } from '../../compiler/plan/on-a-day.ts';
import type { DayBlocks } from '../../compiler/steer/block.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { unixMsFromUtc } from '../../shared/civil.ts';
import { utcSeconds } from '../../shared/units.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { median, milliseconds, type Row, row } from './row.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));

/** rrule keeps an expansion once made; each run must make its own. */
const NO_CACHE = true;

function timeOf(args: readonly string[]): number {
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, args, { cwd: root });
  if (status !== 0) throw new Error(`${args.join(' ')} failed: ${stderr}`);
  return performance.now() - start;
}

/** Runs both in turn, so that a slow moment of the machine strikes both. */
function ratio(args: readonly string[], runs: number): number {
  const ratios: number[] = [];
  for (let run = 0; run <= runs; run++) {
    const empty = timeOf(['-e', '0']);
    const whole = timeOf(args);
    if (run > 0) ratios.push(whole / empty);
  }
  return median(ratios);
}

/** The pantry's schedule as daily rules, one for each output and unbroken run of equal days: its on and off instants. */
function recurrenceRules(
  days: readonly DayBlocks[],
): { rule: InstanceType<typeof rrule.RRule>; length: number }[] {
  const rules: { rule: InstanceType<typeof rrule.RRule>; length: number }[] = [];
  const open = new Map<
    string,
    { first: number; last: number; anchor: number; from: number; length: number }
  >();
  const close = (one: {
    first: number;
    last: number;
    anchor: number;
    from: number;
    length: number;
  }): void => {
    const at = (day: number): Date =>
      new Date(unixMsFromUtc(utcSeconds(day * 86_400 + (one.anchor + one.from) * 60)));
    const rule = new rrule.RRule(
      {
        freq: rrule.RRule.DAILY,
        dtstart: at(one.first),
        until: at(one.last),
        tzid: 'Europe/Lisbon',
      },
      NO_CACHE,
    );
    rules.push({ rule, length: one.length });
  };
  for (const { day, blocks } of days) {
    for (const { output, anchor, from, length } of blocks) {
      const name = `${output} ${anchor} ${from} ${length}`;
      const run = open.get(name);
      if (run && run.last === day - 1) run.last = day;
      else {
        if (run) close(run);
        open.set(name, { first: day, last: day, anchor, from, length });
      }
    }
  }
  for (const run of open.values()) close(run);
  return rules;
}

export async function rows(): Promise<Row[]> {
  const { plan, timeline, tables } = compilePlan(samplePlan('pantry'), { boards: BOARDS });
  const { first, end } = sure(planDays(sure(plan)));
  const [from, until] = [utcSeconds((first - 1) * 86_400), utcSeconds((end + 1) * 86_400)];
  const bytes = itemAt(tables, 0).encoded.bytes;
  let instants = 0;
  const trace = milliseconds(9, () => {
    instants = [...traceTable(bytes, from, until)].length;
  });
  let expanded = 0;
  const rules = recurrenceRules(sure(timeline).days);
  const expand = milliseconds(5, () => {
    expanded = rules.flatMap(({ rule, length }) =>
      rule.all().flatMap((on) => [on, new Date(on.getTime() + length * 60_000)]),
    ).length;
  });
  return [
    row(
      'check pantry, in times of `node -e 0`',
      ratio(['src/leanward.js', 'check', 'shared/plans/pantry.plan.yaml'], 9),
      '×',
      { most: 6 },
    ),
    row(`whole pantry grow simulated (${instants} changes)`, trace, 'ms'),
    row(`same schedule expanded by rrule (${expanded} instants)`, expand, 'ms'),
    row('expanding takes so many times as long', expand / trace, '×', { least: 20 }),
  ];
}

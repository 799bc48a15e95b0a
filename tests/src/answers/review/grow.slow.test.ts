/**
 * Twenty-six weeks on the simulated controller with faults put in on purpose:
 * the review gives exactly those back, and nothing else.
 */

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../../shared/assert.ts';
import type { Incident } from '../../../../src/answers/review/incidents.ts';
import { verdicts } from '../../../../src/answers/review/verdict.ts';
import { appendRecords } from '../../../../src/archive/append.ts';
import { share } from '../../../support/share.ts';
import { day, sampleText } from '../visits/plan.ts';
import { type Farm, IDENTITY, makeFarm, readInto, reviewFarm } from './farm.ts';
import { randomOf } from './random.ts';
import { type Happening, SimWorld } from './world.ts';

const DAY = 86_400;
const FIRST = day('2026-02-16');
const WEEKS = 26;
/** The pantry, with a second pair of batches after the first, so that 26 weeks are full. */
const TEXT = sampleText('pantry').replace(
  /\nvisits:/,
  `
  second: { sealed: 2026-06-15, zones: [A, C], bag: tall, regime: antler }

visits:`,
);
let farm: Farm;
beforeAll(async () => {
  farm = await makeFarm(TEXT);
});
afterAll(() => farm.archive.close());

/**
 * One press at half past six on each day of a walk or of a harvest's reminder, but for the walks to be missed. Of a
 * harvest's last three days only the first: that press closes it, and another would answer a coming visit early.
 */
function presses(missed: ReadonlySet<string>): Happening[] {
  const days = sure(farm.compiled.timeline).visits.flatMap((visit) =>
    Array.from({ length: visit.days }, (_, i) => i)
      .filter((i) => (i % 7 === 0 && i < visit.days - 3) || i === Math.max(0, visit.days - 3))
      .map((i) => visit.day + i),
  );
  return [...new Set(days)]
    .filter((walk) => !missed.has(String(walk)))
    .map((walk) => ({ at: walk * DAY + 18.5 * 3600, act: (world: SimWorld) => world.press() }));
}

/** What was put in, to be found again. */
interface Planted {
  readonly happenings: Happening[];
  /** Incidents, in brief, as `brief` writes them. */
  readonly expected: string[];
}

/** Brief of a incident: kind and place, times to the day, so that two lists can be compared. */
function brief(incident: Incident): string {
  const dayOf = (at: number): number => Math.floor(at / DAY) - FIRST;
  switch (incident.kind) {
    case 'outage': {
      const length =
        incident.from === undefined ? 'unknown' : Math.round((incident.until - incident.from) / 300) * 5;
      return `outage ${dayOf(incident.until)} ${length}`;
    }
    case 'visit':
      return `visit ${incident.zone} ${incident.visit} ${dayOf(incident.at)} ${incident.answer}`;
    case 'hand':
      return `hand ${dayOf(incident.at)} ${incident.outputs} ${incident.on}`;
    case 'clock':
      return `clock ${dayOf(incident.at)}`;
    case 'room':
      return `room ${dayOf(incident.at)}`;
    default:
      return `${incident.kind} ${JSON.stringify(incident)}`;
  }
}

/** Days from the first on which a fault may be put in; each fault takes days of its own. */
function plant(seed: number): Planted {
  const random = randomOf(seed);
  const free = Array.from({ length: WEEKS * 7 - 20 }, (_, i) => i + 5);
  const takeDay = (): number => {
    const at = Math.floor(random() * free.length);
    const picked = itemAt(free, at);
    // Its neighbours too: each fault then stands alone.
    for (let near = picked - 4; near <= picked + 4; near++) {
      const index = free.indexOf(near);
      if (index >= 0) free.splice(index, 1);
    }
    return picked;
  };
  const happenings: Happening[] = [];
  const expected: string[] = [];
  const noon = (offset: number): number => (FIRST + offset) * DAY + 12 * 3600;
  for (let i = 0; i < 3; i++) powerCut(takeDay(), 20 + Math.floor(random() * 50) * 5);
  handSwitch(takeDay(), 1 + Math.floor(random() * 8));
  deadBattery(takeDay());
  hotWeek(takeDay());
  const missed = missTwo();
  happenings.push(...presses(missed));
  return { happenings, expected };

  function powerCut(offset: number, minutes: number): void {
    // Away from the visits: 12:00 to 16:00.
    const from = noon(offset) + Math.floor(random() * 60) + 1;
    happenings.push({ at: from, act: (world) => world.device.setPower(false) });
    happenings.push({ at: from + minutes * 60, act: (world) => world.device.setPower(true) });
    expected.push(`outage ${offset} ${Math.round((minutes * 60) / 300) * 5}`);
  }

  function handSwitch(offset: number, output: number): void {
    const on = random() < 0.5;
    happenings.push({ at: noon(offset) + 7, act: (world) => world.hand(output, on) });
    expected.push(`hand ${offset} ${1 << (output - 1)} ${on}`);
  }

  function deadBattery(offset: number): void {
    const at = noon(offset);
    happenings.push(
      { at, act: (world) => world.device.setTrouble('clock stopped', true) },
      { at: at + 5, act: (world) => world.device.setPower(false) },
      { at: at + 3600, act: (world) => world.device.setPower(true) },
      { at: at + 3605, act: (world) => world.device.setTrouble('clock stopped', false) },
      { at: at + 7200, act: (world) => world.setClock() },
    );
    expected.push(`outage ${offset} unknown`, `clock ${offset}`);
  }

  function hotWeek(offset: number): void {
    happenings.push(
      { at: noon(offset), act: (world) => world.device.setProbe(29 * 16 + 8) },
      { at: noon(offset + 7), act: (world) => world.device.setProbe(23 * 16) },
    );
    expected.push(`room ${offset}`);
  }

  function missTwo(): Set<string> {
    const { compiled, plan } = farm;
    const days = new Set<string>();
    const faults = new Set(expected.map((one) => Number(one.split(' ')[1])));
    const visits = sure(compiled.timeline).visits.filter((visit) => visit.kind !== 'harvest');
    const lifts = [...new Set(visits.map((visit) => visit.day))].filter((one) => {
      const offset = one - FIRST;
      const harvest = sure(compiled.timeline).visits.some(
        (visit) => visit.kind === 'harvest' && one >= visit.day && one < visit.day + visit.days,
      );
      return (
        offset < WEEKS * 7 - 10 && !harvest && ![...faults].some((fault) => Math.abs(fault - offset) < 3)
      );
    });
    while (days.size < 2) days.add(String(itemAt(lifts, Math.floor(random() * lifts.length))));
    for (const visit of visits.filter((one) => days.has(String(one.day)))) {
      expected.push(`visit ${itemAt(plan.zones, visit.zone).name} ${visit.kind} ${visit.day - FIRST} missed`);
    }
    return days;
  }
}

async function liveThrough(planted: Planted): Promise<void> {
  const { archive } = farm;
  for (const table of ['records', 'gaps', 'connections'] as const)
    await archive.db.deleteFrom(table).execute();
  const world = new SimWorld(farm.table, FIRST * DAY - 3600);
  for (let week = 1; week <= WEEKS; week++) {
    const until = (FIRST + 7 * week) * DAY - 3600;
    const mine = planted.happenings.filter((one) => one.at >= until - 7 * DAY && one.at < until);
    world.live(mine, until);
    await readInto(farm, world);
  }
}

describe('the review of 26 weeks', () => {
  const seeds = Array.from({ length: Number(process.env.LEANWARD_GROWS ?? share(15, 50)) }, (_, i) => i + 1);

  it.each(seeds)('finds what was put in and nothing else (%i)', async (seed) => {
    const planted = plant(seed);
    await liveThrough(planted);
    const review = await reviewFarm(farm, FIRST);
    expect(review.incidents.map(brief).sort()).toEqual([...planted.expected].sort());
    expect(new Set(review.days.map((one) => one.standing))).not.toContain('unexplained');
  });

  it('of a quiet grow finds nothing and all light, proved', async () => {
    await liveThrough({ happenings: presses(new Set()), expected: [] });
    const review = await reviewFarm(farm, FIRST);
    expect(review.incidents).toEqual([]);
    for (const verdict of verdicts(farm.plan, review)) {
      expect(verdict.line).toMatch(/: (all of its light|dark, as planned)$/);
      expect(verdict.todo).toBe('nothing to do');
    }
    const standings = review.days.filter((one) => one.day > FIRST && one.day < review.until - 1);
    expect(new Set(standings.map((one) => one.standing))).toEqual(new Set(['proved']));
    expect(await appendRecords(farm.archive, IDENTITY, [], 0)).toMatchObject({ lost: 0 });
  });
});

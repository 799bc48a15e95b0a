/** The same grow reviewed from both kinds of archive gives the same review. */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Review } from '../../../../src/answers/review/review.ts';
import { writeCorrection } from '../../../../src/archive/corrections.ts';
import { writeNote } from '../../../../src/archive/notes.ts';
import { needs } from '../../../support/needs.ts';
import { type Server, startServer } from '../../archive/postgres.ts';
import { day, sampleText } from '../visits/plan.ts';
import { makeFarm, readInto, reviewFarm } from './farm.ts';
import { SimWorld } from './world.ts';

const DAY = 86_400;
const BEGIN = day('2026-03-29') * DAY;

/** Two weeks with a cut and a hand switch, read weekly into an archive, and its review. */
async function reviewIn(place: string): Promise<Review> {
  const farm = await makeFarm(sampleText('pantry'), place);
  const world = new SimWorld(farm.table, BEGIN);
  const happenings = [
    { at: BEGIN + 2 * DAY, act: (one: SimWorld) => one.device.setPower(false) },
    { at: BEGIN + 2.5 * DAY, act: (one: SimWorld) => one.device.setPower(true) },
    { at: BEGIN + 9 * DAY, act: (one: SimWorld) => one.hand(3, true) },
  ];
  for (const week of [1, 2]) {
    const until = BEGIN + week * 7 * DAY;
    world.live(
      happenings.filter((one) => one.at < until && one.at >= until - 7 * DAY),
      until,
    );
    await readInto(farm, world);
  }
  const common = { plan: 'plan', zone: 'A', writtenMs: 1_771_200_000_000 };
  await writeNote(farm.archive, {
    ...{ ...common, id: 'n', batch: 'early', bag: 'A2', day: day('2026-04-05'), kind: 'cull', why: 'mould' },
    ...{ massG: 81.5, leanDeg: 12.25 },
  });
  await writeCorrection(farm.archive, {
    ...{
      ...common,
      id: 'c',
      kind: 'look',
      dueDay: day('2026-03-30'),
      doneDay: day('2026-03-30'),
      outcome: 'done',
      why: undefined,
    },
  });
  const review = await reviewFarm(farm, day('2026-03-30'));
  await farm.archive.close();
  return review;
}

needs(['initdb', 'pg_ctl', 'runuser'], 'a review from PostgreSQL', () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-both-'));
  let server: Server;
  beforeAll(() => {
    server = startServer();
  });
  afterAll(() => {
    server?.stop();
    rmSync(folder, { recursive: true, force: true });
  });

  it('is that from SQLite', async () => {
    const sqlite = await reviewIn(join(folder, 'a.sqlite'));
    const postgres = await reviewIn(server.database('farm'));
    expect(sqlite.incidents.length).toBeGreaterThan(2);
    expect(postgres).toEqual(sqlite);
  });
});

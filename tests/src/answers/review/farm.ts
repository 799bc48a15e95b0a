/** A plan, its tables and an archive filled from a simulated grow, for the review's tests. */

import { compilePlan } from '../../../../compiler/compile.ts';
import type { Compiled } from '../../../../compiler/compiled.ts';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import type { UtcOffsets } from '../../../../compiler/plan/utc-offsets.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { unixMsFromUtc } from '../../../../shared/civil.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { type Review, reviewPlan } from '../../../../src/answers/review/review.ts';
import { appendRecords, rememberController } from '../../../../src/archive/append.ts';
import { rememberConnection } from '../../../../src/archive/connections.ts';
import { rememberTable } from '../../../../src/archive/flashed.ts';
import { type Archive, openArchive } from '../../../../src/archive/open.ts';
import { gatherReview } from '../../../../src/jobs/review/gather.ts';
import { boards } from '../visits/plan.ts';
import type { SimWorld } from './world.ts';

export const IDENTITY = 4711;

export interface Farm {
  readonly plan: ResolvedPlan;
  readonly compiled: Compiled;
  readonly table: Uint8Array;
  readonly offsets: UtcOffsets;
  readonly archive: Archive;
}

/** Compiles a plan of one controller and opens an empty archive for it. */
export async function makeFarm(text: string, place = ':memory:'): Promise<Farm> {
  const compiled = compilePlan(text, { boards });
  const { plan, timeline } = compiled;
  const table = compiled.tables[0]?.encoded.bytes;
  if (!plan || !timeline || !table) throw new Error(JSON.stringify(compiled.findings));
  const archive = await openArchive(place, 0);
  await rememberController(archive, IDENTITY, `plan/${itemAt(plan.controllers, 0).name}`, 0);
  await rememberTable(archive, IDENTITY, table, 0);
  return { plan, compiled, table, offsets: timeline.offsets, archive };
}

/** What the host does when it reads a log: appends what the world has, notes the clock. */
export async function readInto(farm: Farm, world: SimWorld, setAfter = false): Promise<void> {
  world.readLog();
  await keepRead(farm, world, setAfter);
}

/** The same with what `world.read` holds already. */
export async function keepRead(farm: Farm, world: SimWorld, setAfter = false): Promise<void> {
  const records = [...world.read.values()];
  const { utc } = world.device;
  const { newest } = await appendRecords(farm.archive, IDENTITY, records, unixMsFromUtc(utc));
  await rememberConnection(farm.archive, IDENTITY, {
    ...{ hostMs: unixMsFromUtc(utc), controller: utc, sub: 0, known: true, estimated: false },
    ...{ setAfter, newest },
  });
  world.read.clear();
}

/** The review of the farm's plan. */
export async function reviewFarm(farm: Farm, from: CivilDay): Promise<Review> {
  const { archive, plan, table, offsets, compiled } = farm;
  const visits = sure(compiled.timeline).visits;
  const gathered = await gatherReview(archive, plan, 'plan', from);
  return reviewPlan({ ...gathered, plan, tables: [table], visits, offsets, from });
}

/**
 * From the archive to the story of each of a plan's controllers.
 *
 * Always holds: only the records of the time asked for are read (and a day
 * before, so that what still ran then is known); a controller that was replaced
 * by a spare of the same name goes on in the spare's story.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { unixMsFromUtc, utcFromUnixMs } from '../../../shared/civil.ts';
import { FIRST_SEQUENCE, type LogRecord } from '../../../shared/log.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';
import type { TakenBack } from '../../answers/book/note.ts';
import { aheadSeconds, type Connection } from '../../answers/review/connection.ts';
import { replay } from '../../answers/review/replay.ts';
import type { ReviewInput } from '../../answers/review/review.ts';
import type { Story } from '../../answers/review/story.ts';
import type { Told } from '../../answers/review/told.ts';
import { connectionsOf } from '../../archive/connections.ts';
import { readCorrections } from '../../archive/corrections.ts';
import { type FlashedTable, flashedTables } from '../../archive/flashed.ts';
import { gapsOf } from '../../archive/gaps.ts';
import { readNotes, readTakenBack } from '../../archive/notes.ts';
import { type Archive, archiveName } from '../../archive/open.ts';
import { controllersOf, firstSequenceFrom, readRecords, tableRecordsBefore } from '../../archive/read.ts';

const SECONDS_PER_DAY = 86_400;
const RECORDS_BEFORE = 8;

/** What a review looks at, and the entries that count no more. */
interface Gathered extends Pick<ReviewInput, 'told' | 'notes' | 'corrections'> {
  readonly takenBack: readonly TakenBack[];
}

/** Reads all that a review of a plan (named `name` in the archive) looks at, from a day on. */
export async function gatherReview(
  archive: Archive,
  plan: ResolvedPlan,
  name: string,
  from: CivilDay,
): Promise<Gathered> {
  return {
    told: await controllersTold(archive, plan, name, from),
    notes: await readNotes(archive, name),
    takenBack: await readTakenBack(archive, name),
    corrections: await readCorrections(archive, name, plan),
  };
}

/** Reads what is told of each controller of a plan (named `name`) from a day on. */
async function controllersTold(
  archive: Archive,
  plan: ResolvedPlan,
  name: string,
  from: CivilDay,
): Promise<Told[]> {
  const known = await controllersOf(archive);
  const told: Told[] = [];
  for (const controller of plan.controllers) {
    const wanted = archiveName(name, controller.name);
    const identities = known.filter((one) => one.name === wanted).map((one) => one.identity);
    const parts: Told[] = [];
    for (const identity of identities) {
      parts.push(await one(archive, identity, controller.board.outputs.length, from));
    }
    told.push(join(parts));
  }
  return told;
}

async function one(archive: Archive, identity: number, outputs: number, from: CivilDay): Promise<Told> {
  const found = await firstSequenceFrom(archive, identity, civilDay(from - 1));
  // A few records more, so that a stretch that began without power is known to have.
  const first = found === undefined ? undefined : Math.max(FIRST_SEQUENCE, found - RECORDS_BEFORE);
  const connections = await connectionsOf(archive, identity);
  if (first === undefined) return { identities: [identity], records: [], story: undefined, connections: [] };
  const records: LogRecord[] = [];
  for await (const record of readRecords(archive, identity, { fromSequence: first })) records.push(record);
  const newest = records.at(-1)?.sequence ?? 0;
  const upToDate = connections.filter((reading) => reading.newest <= newest && reading.known);
  const tables = await flashedTables(archive, identity);
  const before = await confirmedBefore(archive, identity, first);
  const story = replay({
    records,
    tables: new Map(tables.map(({ crc, bytes }) => [crc, bytes])),
    flashedAt: new Map(tables.map(({ crc, storedMs }) => [crc, utcFromUnixMs(storedMs)])),
    before: before?.crc ?? flashedBefore(tables, records[0]),
    lostBefore: await isLostBetween(archive, identity, before?.sequence ?? 0, first),
    outputs,
    readUntil: upToDate.at(-1)?.controller,
    setAfter: setAfter(upToDate.at(-1)),
  });
  // Settings of the clock are known only as far back as the records reach.
  const since = unixMsFromUtc(utcSeconds(Math.round(story.from)));
  const reached = connections.filter((reading) => reading.hostMs >= since);
  return { identities: [identity], records, story, connections: reached };
}

/** Seconds by which the clock went forward when it was set right after a reading; undefined: it was not. */
function setAfter(reading: Connection | undefined): number | undefined {
  return reading?.setAfter ? -Math.round(aheadSeconds(reading)) : undefined;
}

/** The table confirmed before a sequence number, and the record of that. */
async function confirmedBefore(
  archive: Archive,
  identity: number,
  sequence: number,
): Promise<{ readonly crc: number; readonly sequence: number } | undefined> {
  // Between two confirmations lie at most a few trials that were given up.
  const records = await tableRecordsBefore(archive, identity, sequence, 64);
  const confirmed = records.find((record) => record.type === 'confirmed');
  return confirmed?.type === 'confirmed' ? confirmed : undefined;
}

/** Whether records between two sequence numbers were never read. */
async function isLostBetween(
  archive: Archive,
  identity: number,
  after: number,
  before: number,
): Promise<boolean> {
  const gaps = await gapsOf(archive, identity, after + 1);
  return gaps.some((gap) => gap.first < before);
}

/** CRC of the table flashed last before a record was written, for a log whose beginning was lost. */
function flashedBefore(tables: readonly FlashedTable[], record: LogRecord | undefined): number | undefined {
  if (!record) return undefined;
  const time = 'time' in record ? record.time : record.day * SECONDS_PER_DAY;
  return tables.findLast((table) => table.storedMs < unixMsFromUtc(utcSeconds(time)))?.crc;
}

/** A controller and its spares, one after another by when they began. */
function join(parts: readonly Told[]): Told {
  const sorted = [...parts].sort((a, b) => (a.story?.from ?? 0) - (b.story?.from ?? 0));
  return {
    identities: sorted.flatMap((part) => part.identities),
    records: sorted.flatMap((part) => part.records),
    story: sorted.map((part) => part.story).reduce(joinStories, undefined),
    // Each clock drifts in its own way: the one that runs now is told of.
    connections: sorted.at(-1)?.connections ?? [],
  };
}

function joinStories(a: Story | undefined, b: Story | undefined): Story | undefined {
  if (!a || !b) return a ?? b;
  const before = <T extends { readonly at: number }>(list: readonly T[]): T[] =>
    list.filter((item) => item.at < b.from);
  return {
    // What the lamps did between the old one's last record and the spare's first, nobody knows.
    changes: [
      ...before(a.changes),
      ...before([{ at: a.until, levels: undefined, state: 'unknown' as const }]),
      ...b.changes,
    ],
    outages: [...a.outages, ...b.outages],
    proofs: [...a.proofs, ...b.proofs],
    estimated: [...a.estimated, ...b.estimated],
    hands: [...a.hands, ...b.hands],
    settings: [...a.settings, ...b.settings],
    tables: [...before(a.tables), ...b.tables],
    lost: [...a.lost, ...b.lost],
    faults: [...a.faults, ...b.faults],
    // A spare's contacts are its own: its wear is what counts from then on.
    operations: b.operations,
    blindBefore: a.blindBefore,
    from: a.from,
    until: Math.max(a.until, b.until),
  };
}

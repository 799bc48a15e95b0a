/**
 * Entries of bags that were moved, and what that means for the plan.
 *
 * Always holds: a place holds one bag; a zone is lit alike for all that stand in
 * it, so a bag goes only where the light of the day is that of its own stage.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { placeName, placesNamed } from '../../../compiler/plan/place-names.ts';
import type { ResolvedStage } from '../../../compiler/plan/plan.ts';
import { sideOn } from '../../../compiler/timeline/demands.ts';
import { assert, itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { refused, usage } from '../../failure.ts';
import { list } from '../../words/lists.ts';
import { type BagLife, type BagStay, mayStandUntil, placeOn } from '../bags/lives.ts';
import { entryAbout, refuseUnlessIn, type Writing } from './entries.ts';
import type { Note } from './note.ts';

/** Where bags go: a zone (index), and a position where one is named. */
export interface Destination {
  readonly zone: number;
  readonly position: number | undefined;
}

export interface Moves {
  readonly entries: readonly Note[];
  /** Batches (indices) that the plan does not have in the zone yet. */
  readonly newcomers: readonly number[];
  /** What the grower should know about light to come. */
  readonly remarks: readonly string[];
}

/** The zone or place that `--to` names. */
export function destinationNamed({ plan }: Writing, word: string): Destination {
  const zone = plan.zones.findIndex(({ name }) => name === word);
  const places = placesNamed(plan, word);
  const readings = [
    ...(zone < 0 ? [] : [`zone ${word}`]),
    ...places.map((one) => `place ${placeName(itemAt(plan.zones, one.zone).name, one.position)}`),
  ];
  if (readings.length > 1)
    throw refused(`'${word}' may be ${list(readings)}.`, 'Write the place with its dash.');
  if (zone >= 0) return { zone, position: undefined };
  if (places[0]) return places[0];
  throw usage(
    `The plan has no zone or place '${word}'.`,
    `Its zones are ${list(plan.zones.map(({ name }) => name))}; a place is a zone and a position, such as ${plan.zones[0]?.name ?? 'A'}-1.`,
  );
}

/** How a grower lets two bags change places, in the words of where she is; undefined: with any bag there. */
export type WayToSwap = (bag: string | undefined) => string;

/** The entries that move bags to a zone on the day; where they find no place it is said how to swap. */
export function moveEntries(
  writing: Writing,
  all: readonly BagLife[],
  moved: readonly BagLife[],
  to: Destination,
  wayToSwap: WayToSwap,
): Moves {
  if (to.position !== undefined && moved.length > 1) {
    throw refused('One place holds one bag.', 'Name a zone, or move them one by one.');
  }
  for (const life of moved) refuseUnlessMovable(writing, life, to);
  const free = freePlaces(writing, all, moved, to, wayToSwap);
  const entries = moved.map((life, i) => ({
    ...entryAbout(writing, life, 'move'),
    to: { zone: itemAt(writing.plan.zones, to.zone).name, position: itemAt(free, i) },
  }));
  const batches = [...new Set(moved.map(({ batch }) => batch))];
  const light = batches.map((batch) => lightThere(writing, batch, to.zone));
  const newcomers = batches.filter((_, i) => light[i]?.isNew === true);
  if (newcomers.length > 1) {
    throw refused(
      'Bags of two batches cannot come into an empty zone at once.',
      'Give each a zone of its own.',
    );
  }
  return { entries, newcomers, remarks: light.flatMap(({ remark }) => remark ?? []) };
}

/** The entries with which two bags change places on the day: each is lit as where it comes, so both lights must be the same. */
export function swapEntries(writing: Writing, one: BagLife, other: BagLife): Omit<Moves, 'newcomers'> {
  const { plan } = writing;
  if (one === other) throw refused(`${one.name} cannot change places with itself.`, 'Name two bags.');
  const [here, there] = [standsNow(writing, one), standsNow(writing, other)];
  const moves = [
    { life: one, to: there },
    { life: other, to: here },
  ];
  const light = moves.map(({ life, to }) => lightThere(writing, life.batch, to.zone));
  assert(!light.some(({ isNew }) => isNew), 'where a bag stands its zone is lit');
  const entries = moves.map(({ life, to: { zone, position } }) => ({
    ...entryAbout(writing, life, 'move'),
    to: { zone: itemAt(plan.zones, zone).name, position },
  }));
  return { entries, remarks: [...new Set(light.flatMap(({ remark }) => remark ?? []))] };
}

function refuseUnlessMovable(writing: Writing, life: BagLife, to: Destination): void {
  const stay = standsNow(writing, life);
  if (stay.zone === to.zone && (to.position === undefined || to.position === stay.position)) {
    throw refused(
      `${life.name} stands in ${to.position === undefined ? itemAt(writing.plan.zones, to.zone).name : stay.place} already.`,
    );
  }
}

/** Where a bag stands on the day; refused of one that does not stand on the rack. */
function standsNow(writing: Writing, life: BagLife): BagStay {
  const { day } = writing;
  refuseUnlessIn(writing, life);
  const stay = placeOn(life, day);
  if (stay) return stay;
  const first = life.stays[0];
  const when = first && first.from > day ? `comes onto the rack on ${isoDate(first.from)}` : 'left the rack';
  throw refused(`${life.name} does not stand on the rack on ${isoDate(day)}: it ${when}.`);
}

/** The positions that bags may take, lowest first; refused where they are too few. */
function freePlaces(
  { plan, day }: Writing,
  all: readonly BagLife[],
  moved: readonly BagLife[],
  { zone, position }: Destination,
  wayToSwap: WayToSwap,
): number[] {
  const { name, places } = itemAt(plan.zones, zone);
  // Bags that come once these have left are in nobody's way.
  const leave = Math.max(...moved.map(({ batch }) => mayStandUntil(plan, batch, zone, day)));
  const there = all.flatMap((life) =>
    moved.includes(life)
      ? []
      : life.stays.flatMap((stay) =>
          stay.zone === zone && stay.until > day && stay.from < leave ? [{ life, stay }] : [],
        ),
  );
  const taken = new Map(there.map(({ life, stay }) => [stay.position, life]));
  if (position !== undefined) {
    const holder = taken.get(position);
    if (!holder) return [position];
    throw refused(
      `${holder.name} stands in ${placeName(name, position)}.`,
      `Move that one first, name another place, or let the two change places: ${wayToSwap(holder.name)}.`,
    );
  }
  const free = places.map((_, i) => i + 1).filter((one) => !taken.has(one));
  if (free.length >= moved.length) return free;
  const room = free.length === 0 ? 'no free place' : `only ${free.length} free`;
  throw refused(
    `Zone ${name} has ${places.length} places and ${room}.`,
    `Move or harvest bags there first, give the zone more places in the plan, or let two bags change places: ${wayToSwap(undefined)}.`,
  );
}

interface LightThere {
  readonly isNew: boolean;
  readonly remark: string | undefined;
}

/** Whether the zone's light is that of the batch on the day; refused where it is not. */
function lightThere(writing: Writing, batch: number, zone: number): LightThere {
  const { plan, day } = writing;
  const { name } = itemAt(plan.zones, zone);
  const own = itemAt(plan.batches, batch);
  const stay = stayIn(plan, batch, zone);
  const host = batchOn(plan, zone, day);
  if (host === batch) return { isNew: false, remark: undefined };
  if (host === undefined) {
    if (!stay) return { isNew: true, remark: undefined };
    const when =
      stay.free <= day
        ? `was over for ${own.name} on ${isoDate(stay.free)}`
        : `is for ${own.name} from ${isoDate(stay.enters)} on`;
    throw refused(
      `Zone ${name} ${when}, so it is dark on ${isoDate(day)}.`,
      `Change that in batch ${own.name} of the plan first, or take another zone.`,
    );
  }
  return { isNew: false, remark: guestRemark(writing, batch, host, zone) };
}

/** A guest has the light of its host: the same on the day, or it may not come. */
function guestRemark({ plan, day }: Writing, batch: number, host: number, zone: number): string {
  const { name } = itemAt(plan.zones, zone);
  const [own, other] = [itemAt(plan.batches, batch), itemAt(plan.batches, host)];
  const [mine, theirs] = [stageOfBatch(plan, batch, day), stageOn(stayIn(plan, host, zone), day)];
  if (!mine || !theirs || lightOf(mine, day) !== lightOf(theirs, day)) {
    throw refused(
      `Zone ${name} is lit for ${other.name}, in ${theirs?.name ?? 'no stage'}; ${own.name} is in ${mine?.name ?? 'no stage'}. A zone is lit alike for all its bags.`,
      'Take an empty zone, one of its own batch, or one whose light is the same.',
    );
  }
  const until = differsFrom(plan, batch, host, zone, day);
  const differs =
    until === undefined ? '' : ` On ${isoDate(until)} their light begins to differ: move them on by then.`;
  return `Zone ${name} goes on with the light of ${other.name}, which is that of ${own.name} today.${differs}`;
}

/** Photoperiod, start, level and side of a stage on a day, as one word to compare. */
function lightOf(stage: ResolvedStage, day: number): string {
  if (!stage.light) return 'dark';
  const { start, photoperiod } = stage.light;
  return [start, photoperiod, stage.level, sideOn(stage.lean, day - stage.from)].join(' ');
}

type Plan = Writing['plan'];

function stageOfBatch(plan: Plan, batch: number, day: number): ResolvedStage | undefined {
  return itemAt(plan.batches, batch)
    .zones.map((stay) => stageOn(stay, day))
    .find((stage) => stage !== undefined);
}

/** The first day on which a guest's own stage asks for another light than its host has. */
function differsFrom(
  plan: Plan,
  batch: number,
  host: number,
  zone: number,
  from: number,
): CivilDay | undefined {
  const end = stayIn(plan, host, zone)?.free ?? from;
  for (let day = from + 1; day < end; day++) {
    const [mine, theirs] = [stageOfBatch(plan, batch, day), stageOn(stayIn(plan, host, zone), day)];
    if (!mine || !theirs || lightOf(mine, day) !== lightOf(theirs, day)) return civilDay(day);
  }
  return undefined;
}

/**
 * The record of a lot: what is known of its batches, for the grower or a buyer.
 *
 * Always holds: figures only, no claims; what is unknown is named as such.
 */

import { standsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { harvestWords, type Units } from '../../../shared/measures.ts';
import { VISIT_KINDS } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { bandWords } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import { type BagLife, bagLives } from '../bags/lives.ts';
import type { VisitAnswer } from '../visits/outcomes.ts';
import type { Review, ReviewedDay } from './review.ts';
import { hours, luxWords, shareWords, sumDays, type ZoneTotals } from './verdict.ts';

export interface LotBatch {
  readonly batch: ResolvedBatch;
  readonly zones: readonly string[];
  readonly bags: number;
  /** Light of each zone. */
  readonly light: readonly {
    readonly zone: string;
    readonly totals: ZoneTotals;
    readonly share: number | undefined;
  }[];
  /** The last day of which the logs tell; undefined once that is all of them. */
  readonly toldTo: CivilDay | undefined;
  readonly unknownDays: number;
  readonly unexplainedDays: number;
  /** Visits by what became of them. */
  readonly visits: Readonly<Record<VisitAnswer, number>>;
  readonly culls: readonly { readonly bag: string; readonly day: string; readonly why: string }[];
  /** Grams by bag, fresh and, where it was weighed, dry. */
  readonly masses: readonly {
    readonly bag: string;
    readonly grams: number;
    readonly dryG: number | undefined;
  }[];
  /** °C over its days, and hours outside the plan's band; undefined without a probe. */
  readonly room: { readonly min: number; readonly max: number; readonly outsideHours: number } | undefined;
}

/** The batches of a lot (or the batch of that name). */
export function batchesOfLot(plan: ResolvedPlan, lot: string): ResolvedBatch[] {
  const byLot = plan.batches.filter((batch) => batch.lot === lot);
  return byLot.length > 0 ? byLot : plan.batches.filter((batch) => batch.name === lot);
}

/** What is known of a batch. */
export function lotBatch(plan: ResolvedPlan, review: Review, batch: ResolvedBatch): LotBatch {
  const index = plan.batches.indexOf(batch);
  const days = review.days.filter((day) => day.batch === index);
  const lives = bagLives(plan, review.notes).filter((life) => life.batch === index);
  const zones = batch.zones.map((stay) => itemAt(plan.zones, stay.zone));
  return {
    batch,
    zones: zones.map((zone) => zone.name),
    bags: lives.length,
    light: batch.zones.map((stay) =>
      lightOf(
        itemAt(plan.zones, stay.zone).name,
        days.filter((day) => day.zone === stay.zone),
      ),
    ),
    toldTo:
      review.until < Math.max(...batch.zones.map((stay) => stay.free))
        ? civilDay(review.until - 1)
        : undefined,
    unknownDays: countDays(days, 'unknown'),
    unexplainedDays: countDays(days, 'unexplained'),
    visits: visitCounts(review, batch),
    culls: lives.flatMap(({ name, out }) =>
      out?.kind === 'cull' ? [{ bag: name, day: isoDate(out.day), why: out.why ?? '' }] : [],
    ),
    masses: massesOf(lives),
    room: roomOf(review, days),
  };
}

function lightOf(zone: string, days: readonly ReviewedDay[]): LotBatch['light'][number] {
  const totals = sumDays(days);
  const known = totals.planned - totals.unknown;
  return { zone, totals, share: known > 0 ? totals.delivered / known : undefined };
}

function countDays(days: readonly ReviewedDay[], standing: ReviewedDay['standing']): number {
  return new Set(days.filter((day) => day.standing === standing).map((day) => day.day)).size;
}

function visitCounts(review: Review, batch: ResolvedBatch): Record<VisitAnswer, number> {
  const counts: Record<VisitAnswer, number> = { done: 0, late: 0, missed: 0, seen: 0 };
  for (const outcome of review.outcomes.values()) {
    const mine = batch.zones.some((stay) => stay.zone === outcome.zone && standsOn(stay, outcome.dueDay));
    if (mine && VISIT_KINDS.includes(outcome.kind)) counts[outcome.answer] += 1;
  }
  return counts;
}

/** What bags were harvested with, else what was weighed of them in notes. */
function massesOf(lives: readonly BagLife[]): LotBatch['masses'] {
  return lives.flatMap(({ name, harvest, notes }) => {
    const noted = notes.flatMap(({ massG }) => massG ?? []);
    if (!harvest && noted.length === 0) return [];
    const grams = harvest?.freshG ?? noted.reduce((sum, one) => sum + one, 0);
    return [{ bag: name, grams, dryG: harvest?.dryG }];
  });
}

function roomOf(review: Review, days: readonly ReviewedDay[]): LotBatch['room'] {
  const mine = new Set<number>(days.map((day) => day.day));
  const rooms = review.room.filter((room) => mine.has(room.day));
  if (rooms.length === 0) return undefined;
  return {
    min: Math.min(...rooms.map((room) => room.min)),
    max: Math.max(...rooms.map((room) => room.max)),
    outsideHours: rooms.reduce((sum, room) => sum + room.outsideMinutes, 0) / 60,
  };
}

/** The record's rows: what, and how it was. */
export function lotRows(record: LotBatch, units: Units): (readonly [what: string, how: string])[] {
  const { batch, visits, room } = record;
  const last = Math.max(...batch.zones.map((stay) => stay.free));
  const total = record.masses.reduce((sum, one) => sum + one.grams, 0);
  const rows: (readonly [string, string | undefined])[] = [
    ['sealed', isoDate(batch.sealed)],
    ['planned to', isoDate(civilDay(last - 1))],
    ['records read', toldWords(record)],
    ['strain', batch.strain],
    ['spawn', batch.spawn],
    ['lot', batch.lot],
    ['note', batch.note],
    ['zones', `${list(record.zones)} (${bagsWords(record.bags)})`],
    ...record.light.map((light) => [`light in ${light.zone}`, lightWords(light)] as const),
    ['days unknown', record.unknownDays > 0 ? String(record.unknownDays) : undefined],
    ['days unexplained', record.unexplainedDays > 0 ? String(record.unexplainedDays) : undefined],
    ['visits', `${visits.done + visits.seen} done, ${visits.late} late, ${visits.missed} missed`],
    ['room', room && `${bandWords(room.min, room.max, units)}, ${hours(room.outsideHours)} outside the band`],
    ['culled', record.culls.map((cull) => `${cull.bag} ${cull.day} (${cull.why})`).join('; ') || 'none'],
    [
      'harvested',
      total > 0
        ? `${harvestWords(total, units)} fresh from ${bagsWords(record.masses.length)}${dryWords(record, units)}`
        : 'nothing weighed yet',
    ],
  ];
  return rows.flatMap(([what, how]) => (how === undefined ? [] : [[what, how] as const]));
}

/** `, 59 g dry from 2 bags`; nothing where none was weighed dry. */
function dryWords({ masses }: LotBatch, units: Units): string {
  const dry = masses.flatMap(({ dryG }) => dryG ?? []);
  if (dry.length === 0) return '';
  const sum = dry.reduce((total, one) => total + one, 0);
  return `, ${harvestWords(sum, units)} dry from ${bagsWords(dry.length)}`;
}

function toldWords({ toldTo, batch }: LotBatch): string | undefined {
  if (toldTo === undefined) return undefined;
  return toldTo < batch.sealed ? 'none yet' : `up to ${isoDate(toldTo)}`;
}

function bagsWords(count: number): string {
  return count === 1 ? '1 bag' : `${count} bags`;
}

function lightWords({ totals, share }: LotBatch['light'][number]): string {
  if (share !== undefined) return `${hours(totals.delivered)}, ${shareWords(share)} (${luxWords(totals)})`;
  return totals.planned === 0 && totals.darkPlanned > 0 ? 'none of lamps planned' : 'unknown';
}

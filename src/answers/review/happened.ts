/**
 * What happened, told by weight: what took light or bags first, then what
 * somebody did, then what nobody did.
 *
 * Always holds: each group is in order of time; many of a kind that need no
 * line each are one line, and nothing is left out.
 */

import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { secondsWords } from '../../words/lengths.ts';
import { list } from '../../words/lists.ts';
import { dayAt, type Incident } from './incidents.ts';
import type { Review } from './review.ts';
import { incidentLines, type Naming, type ReviewLine } from './words.ts';

/** So many of a kind are told one by one. */
const FEW = 3;
/** Lamps that are tried one by one burn less than so long each, seconds. */
const BRIEF = 300;

const WEIGHTS: Readonly<Record<Incident['kind'], number>> = {
  ...{ outage: 0, clock: 0, 'clock moved': 0, fault: 0, room: 0, lost: 0, 'no bytes': 0 },
  ...{ unexplained: 1, hand: 2, restart: 2, visit: 3 },
};
const CULL_WEIGHT = 0;

/** The lines, the weightiest first. */
export function happenedLines(
  review: Pick<Review, 'incidents' | 'notes' | 'from' | 'until'>,
  naming: Naming,
): string[] {
  const { incidents } = review;
  const missed = many(incidents, (one) => one.kind === 'visit' && one.answer === 'missed', naming);
  const untold = many(incidents, (one) => one.kind === 'visit' && one.answer === 'not told', naming);
  const odd = many(incidents, (one) => one.kind === 'unexplained', naming);
  const brief = many(incidents, isBrief, naming);
  const together = new Set([...missed, ...untold, ...odd, ...brief]);
  const single = incidents.filter((one) => !together.has(one));
  const lines: (ReviewLine & { readonly weight: number })[] = [
    ...incidentLines(single, naming).map((line) => ({ ...line, weight: WEIGHTS[line.kind] })),
    ...cullLines(review).map((line) => ({ ...line, kind: 'fault' as const, weight: CULL_WEIGHT })),
    ...oneLine(odd, WEIGHTS.unexplained, oddWords(odd, naming)),
    ...oneLine(brief, WEIGHTS.hand, briefWords(brief, naming)),
    ...oneLine(missed, WEIGHTS.visit, visitsWords(missed, 'were missed', naming)),
    ...oneLine(
      untold,
      WEIGHTS.visit,
      visitsWords(untold, 'the log does not say whether they were done', naming),
    ),
  ];
  return lines.sort((a, b) => a.weight - b.weight || a.at - b.at).map((line) => line.words);
}

/** The incidents of a kind where there are too many for a line each. */
function many(incidents: readonly Incident[], which: (one: Incident) => boolean, naming: Naming): Incident[] {
  const mine = incidents.filter(which);
  return incidentLines(mine, naming).length > FEW ? mine : [];
}

function oneLine(
  incidents: readonly Incident[],
  weight: number,
  words: string,
): (ReviewLine & { weight: number })[] {
  const [first] = incidents;
  return first ? [{ at: first.at, kind: first.kind, weight, words }] : [];
}

/** `from 2026-03-16 to 2026-06-20`, `on 2026-03-16` */
function spanWords(incidents: readonly Incident[], { offsets }: Naming): string {
  const days = incidents.map((one) => dayAt(offsets, one.at));
  const [first, last] = [Math.min(...days), Math.max(...days)].map((day) => isoDate(civilDay(day)));
  return first === last ? `on ${first}` : `from ${first} to ${last}`;
}

const isBrief = (one: Incident): boolean => one.kind === 'hand' && one.until - one.at < BRIEF;

function briefWords(brief: readonly Incident[], naming: Naming): string {
  if (brief.length === 0) return '';
  const seconds = brief.reduce((sum, one) => sum + (one.kind === 'hand' ? one.until - one.at : 0), 0);
  return `${brief.length} times ${spanWords(brief, naming)} an output was switched by hand for less than ${secondsWords(BRIEF)} (${secondsWords(seconds)} in all)`;
}

function oddWords(odd: readonly Incident[], naming: Naming): string {
  if (odd.length === 0) return '';
  // A day is one day, however many boards tell of it.
  const days = new Set(odd.map((one) => dayAt(naming.offsets, one.at)));
  return `${days.size} days ${spanWords(odd, naming)} are unexplained: their checksums are not what table and log give`;
}

/** Visits of several zones at one time are one visit. */
function visitsWords(visits: readonly Incident[], what: string, naming: Naming): string {
  if (visits.length === 0) return '';
  const kinds = new Map<string, Set<number>>();
  const zones = new Set<string>();
  for (const one of visits) {
    if (one.kind !== 'visit') continue;
    kinds.set(one.visit, (kinds.get(one.visit) ?? new Set()).add(one.at));
    zones.add(one.zone);
  }
  const counts = [...kinds].map(([kind, times]) => ({ kind, count: times.size }));
  const all = counts.reduce((sum, one) => sum + one.count, 0);
  const each = list(counts.map(({ kind, count }) => `${count} ${kind}${count === 1 ? '' : kindEnd(kind)}`));
  const verb = what.startsWith('were')
    ? `${all} visits ${spanWords(visits, naming)} ${what}`
    : `${all} visits ${spanWords(visits, naming)}: ${what}`;
  return `${verb} (${each}; ${zones.size === 1 ? 'zone' : 'zones'} ${list([...zones].sort())})`;
}

const kindEnd = (kind: string): string => (kind.endsWith('s') ? 'es' : 's');

function cullLines({
  notes,
  from,
  until,
}: Pick<Review, 'notes' | 'from' | 'until'>): { at: number; words: string }[] {
  return notes
    .filter((note) => note.kind === 'cull' && note.day >= from && note.day < until)
    .map((note) => ({
      at: note.day * 86_400,
      words: `${isoDate(note.day)}        ${note.bag} was taken out${note.why === undefined ? '' : ` (${note.why})`}`,
    }));
}

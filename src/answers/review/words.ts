/** The words for what a review found, one line a incident. */

import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { OUTSIDE_MINUTES } from '../../../shared/behaviour.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { Units } from '../../../shared/measures.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { causeWords, faultWords, roomTemperature, timeWords } from '../../words/controller.ts';
import { lengthWords, secondsWords } from '../../words/lengths.ts';
import { list } from '../../words/lists.ts';
import { type Names, NO_NAMES, outputWords } from '../../words/names.ts';
import { dayAt, type Incident } from './incidents.ts';
import { UNKNOWN_TABLE } from './settle.ts';

/** What is needed to name things. */
export interface Naming {
  readonly offsets: UtcOffsets;
  /** Names of zones and outputs by controller. */
  readonly names: Readonly<Record<string, Names>>;
}

/** A line, and what it is about. */
export interface ReviewLine {
  /** True UTC second. */
  readonly at: number;
  readonly kind: Incident['kind'];
  readonly words: string;
}

/** Incidents a line each; visits of one kind, time and answer share a line. */
export function incidentLines(incidents: readonly Incident[], naming: Naming): ReviewLine[] {
  const merged = new Map<string, { readonly incident: Incident; readonly zones: string[] }>();
  for (const [i, incident] of incidents.entries()) {
    const visit = incident.kind === 'visit' ? incident : undefined;
    const key = visit
      ? [visit.controller, visit.at, visit.visit, visit.answer, visit.lateMinutes].join(' ')
      : `incident ${i}`;
    const zones: string[] = merged.get(key)?.zones ?? [];
    if (visit) zones.push(visit.zone);
    merged.set(key, { incident, zones });
  }
  return [...merged.values()].map(({ incident, zones }) => ({
    ...{ at: incident.at, kind: incident.kind },
    words: incidentWords(incident.kind === 'visit' ? { ...incident, zone: list(zones) } : incident, naming),
  }));
}

/** A incident in one line, beginning with its time at the place. */
function incidentWords(incident: Incident, naming: Naming): string {
  const several = Object.keys(naming.names).length > 1 ? `${incident.controller}: ` : '';
  return `${time(incident.at, naming)}  ${several}${body(incident, naming)}`;
}

function time(at: number, { offsets }: Naming): string {
  return timeWords(utcSeconds(Math.round(at)), offsets);
}

function body(incident: Incident, naming: Naming): string {
  switch (incident.kind) {
    case 'outage':
      return outageWords(incident, naming);
    case 'restart':
      return `restarted: ${causeWords(incident.cause)}`;
    case 'clock':
      return clockWords(incident, naming);
    case 'clock moved':
      return `the clock was moved by ${moved(incident.forward)}: before that, light came at other times than the log says`;
    case 'hand': {
      const outputs = outputWords(incident.outputs, naming.names[incident.controller] ?? NO_NAMES);
      return `${outputs} switched ${incident.on ? 'on' : 'off'} by hand for ${lasting(incident, incident.at, incident.until)}`;
    }
    case 'visit':
      return visitWords(incident);
    case 'room':
      return roomWords(incident, naming.names[incident.controller]?.units);
    default:
      return otherWords(incident, naming);
  }
}

function otherWords(
  incident: Extract<Incident, { kind: 'fault' | 'lost' | 'unexplained' | 'no bytes' }>,
  naming: Naming,
): string {
  switch (incident.kind) {
    case 'fault': {
      const until =
        incident.until === undefined
          ? ', and still is'
          : `, for ${lasting(incident, incident.at, incident.until)}`;
      return `${faultWords(incident.fault)}${until}`;
    }
    case 'lost':
      return `${lostWords(incident, naming)}${settledWords(incident, naming)}`;
    case 'unexplained':
      return `${isoDate(incident.day)} is unexplained: the day's checksum is not what table and log give`;
    case 'no bytes':
      return `a table ran that the archive does not have (CRC ${incident.crc.toString(16)}): its light is unknown`;
  }
}

function lostWords(incident: Extract<Incident, { kind: 'lost' }>, naming: Naming): string {
  const { records, first, unknown, until } = incident;
  const gone = records === 1 ? '1 record was lost' : `${records} records were lost`;
  const before = `${gone} before they were read`;
  if (first) return `${before}: what happened before ${time(until, naming)} is unknown`;
  if (!unknown) return `${before}, but the days' checksums prove the light of that time`;
  return `${before}: what happened until ${time(until, naming)} is unknown, except on days whose checksum agrees`;
}

/** Which table is taken to have run after a loss, and how that is known. */
function settledWords({ settled }: Extract<Incident, { kind: 'lost' }>, { offsets }: Naming): string {
  if (!settled) return '';
  if (settled.crc === UNKNOWN_TABLE) return '; no record is left that says which table ran then';
  const { flashedAt, days } = settled;
  const flashed = flashedAt === undefined ? '' : ` flashed on ${isoDate(dayAt(offsets, flashedAt))}`;
  const table = settled.crc === undefined ? 'no table' : `the table${flashed}`;
  if (days === 0) return `; probably ${table} ran then (no checksum is left to prove it)`;
  return `; then ${table} ran: ${days === 1 ? 'the checksum of 1 day agrees' : `the checksums of ${days} days agree`}`;
}

/** A length; one that an estimated clock told is marked. */
function lasting({ about }: Incident, from: number, until: number): string {
  const length = secondsWords(until - from);
  return about ? `about ${length} (by an estimated clock)` : length;
}

function outageWords(incident: Extract<Incident, { kind: 'outage' }>, naming: Naming): string {
  if (incident.from !== undefined) return `no power for ${lasting(incident, incident.from, incident.until)}`;
  const { offsets } = naming;
  return `power came back; when it had failed is unknown, for the clock had stopped too: ${isoDate(dayAt(offsets, incident.until))} and the days before are unknown`;
}

function clockWords(incident: Extract<Incident, { kind: 'clock' }>, naming: Naming): string {
  if (incident.until === undefined)
    return 'the clock is estimated and has not been set yet: `log PLAN --set-clock` sets it';
  const behind = incident.behind ?? 0;
  const span = `the clock was estimated until ${time(incident.until, naming)}`;
  if (behind === 0) return `${span}, and was right all the same`;
  const off = secondsWords(Math.abs(behind));
  return `${span} and was ${off} ${behind < 0 ? 'ahead' : 'behind'}, so light came ${off} ${behind < 0 ? 'early' : 'late'}`;
}

function moved(forward: number): string {
  return `${secondsWords(Math.abs(forward))} ${forward < 0 ? 'back' : 'forward'}`;
}

function visitWords({ visit, zone, answer, lateMinutes }: Extract<Incident, { kind: 'visit' }>): string {
  if (answer === 'missed') return `${visit} in ${zone} was missed`;
  if (answer === 'late') return `${visit} in ${zone} was ${lengthWords(lateMinutes ?? 0)} late`;
  return `${visit} in ${zone}: the log does not say whether it was done`;
}

/** The controller tells of it after this long: so long it had lasted by then, s. */
const ROOM_PATIENCE = OUTSIDE_MINUTES * 60;

function roomWords(incident: Extract<Incident, { kind: 'room' }>, units: Units | undefined): string {
  const { at, until, temperature } = incident;
  const length =
    until === undefined ? ', and still is' : ` for ${lasting(incident, at - ROOM_PATIENCE, until)}`;
  return `the room was outside its band${length} (${roomTemperature(temperature, units)} after two hours)`;
}

/** The words for what a review found, one line a finding. */

import type { ZoneOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { isoDate } from '../../../shared/civil.ts';
import { utcSeconds } from '../../../shared/units.ts';
import {
  causeWords,
  faultWords,
  lengthWords,
  list,
  type Names,
  outputWords,
  timeWords,
} from '../../words/controller.ts';
import { dayAt, type Finding } from './findings.ts';

/** What is needed to name things. */
export interface Naming {
  readonly offsets: ZoneOffsets;
  /** Names of zones and outputs by controller. */
  readonly names: Readonly<Record<string, Names>>;
}

/** Findings a line each; visits of one kind, time and answer share a line. */
export function findingsInLines(findings: readonly Finding[], naming: Naming): string[] {
  const merged = new Map<string, { readonly finding: Finding; readonly zones: string[] }>();
  for (const [i, finding] of findings.entries()) {
    const visit = finding.kind === 'visit' ? finding : undefined;
    const key = visit ? [visit.at, visit.visit, visit.answer, visit.lateMinutes].join(' ') : `finding ${i}`;
    const zones: string[] = merged.get(key)?.zones ?? [];
    if (visit) zones.push(visit.zone);
    merged.set(key, { finding, zones });
  }
  return [...merged.values()].map(({ finding, zones }) =>
    findingWords(finding.kind === 'visit' ? { ...finding, zone: list(zones) } : finding, naming),
  );
}

/** A finding in one line, beginning with its time at the place. */
function findingWords(finding: Finding, naming: Naming): string {
  const several = Object.keys(naming.names).length > 1 ? `${finding.controller}: ` : '';
  return `${time(finding.at, naming)}  ${several}${body(finding, naming)}`;
}

function time(at: number, { offsets }: Naming): string {
  return timeWords(utcSeconds(Math.round(at)), offsets);
}

function body(finding: Finding, naming: Naming): string {
  switch (finding.kind) {
    case 'outage':
      return outageWords(finding, naming);
    case 'restart':
      return `restarted: ${causeWords(finding.cause)}`;
    case 'clock':
      return clockWords(finding, naming);
    case 'clock moved':
      return `the clock was moved by ${moved(finding.forward)}: light before that came at other hours than told`;
    case 'hand': {
      const outputs = outputWords(
        finding.outputs,
        naming.names[finding.controller] ?? { zones: [], outputs: [] },
      );
      return `${outputs} switched ${finding.on ? 'on' : 'off'} by hand for ${lasting(finding.at, finding.until)}`;
    }
    case 'visit':
      return visitWords(finding);
    case 'room':
      return roomWords(finding);
    default:
      return otherWords(finding, naming);
  }
}

function otherWords(
  finding: Extract<Finding, { kind: 'fault' | 'lost' | 'unexplained' | 'no bytes' }>,
  naming: Naming,
): string {
  switch (finding.kind) {
    case 'fault': {
      const until =
        finding.until === undefined ? ', and still is' : `, for ${lasting(finding.at, finding.until)}`;
      return `${faultWords(finding.fault)}${until}`;
    }
    case 'lost': {
      const records = finding.records === 1 ? '1 record was' : `${finding.records} records were`;
      return `${records} lost before they were read; what they told until ${time(finding.until, naming)} is unknown`;
    }
    case 'unexplained':
      return `${isoDate(finding.day)} is unexplained: the proof of that day is not what table and log give`;
    case 'no bytes':
      return `a table ran that the archive does not have (CRC ${finding.crc.toString(16)}): its light is unknown`;
  }
}

function lasting(from: number, until: number): string {
  return lengthWords((until - from) / 60);
}

function outageWords(finding: Extract<Finding, { kind: 'outage' }>, naming: Naming): string {
  if (finding.from !== undefined) return `no power for ${lasting(finding.from, finding.until)}`;
  const { offsets } = naming;
  return `power came back; when it went is unknown (the clock had lost it); ${isoDate(dayAt(offsets, finding.until))} and before are unknown`;
}

function clockWords(finding: Extract<Finding, { kind: 'clock' }>, naming: Naming): string {
  if (finding.until === undefined)
    return 'the clock is estimated and has not been set yet: `log PLAN --set-clock` sets it';
  const behind = finding.behind ?? 0;
  const span = `the clock was estimated until ${time(finding.until, naming)}`;
  if (behind === 0) return `${span}; it was right all the same`;
  const off = Math.abs(behind) < 60 ? `${Math.abs(behind)} s` : lengthWords(Math.abs(behind) / 60);
  return `${span}; it was ${off} ${behind < 0 ? 'ahead' : 'behind'}, so light came that much ${behind < 0 ? 'early' : 'late'}`;
}

function moved(forward: number): string {
  return `${lengthWords(Math.abs(forward) / 60)} ${forward < 0 ? 'back' : 'forward'}`;
}

function visitWords({ visit, zone, answer, lateMinutes }: Extract<Finding, { kind: 'visit' }>): string {
  if (answer === 'missed') return `${visit} in ${zone} was missed`;
  if (answer === 'late') return `${visit} in ${zone} was ${lengthWords(lateMinutes ?? 0)} late`;
  return `${visit} in ${zone}: the log tells neither done nor missed`;
}

/** The controller tells of it after this long: so long it had lasted by then, s (behaviour.md). */
const ROOM_PATIENCE = 7200;

function roomWords(finding: Extract<Finding, { kind: 'room' }>): string {
  const { at, until, temperature } = finding;
  const length = until === undefined ? 'and still is' : `for ${lasting(at - ROOM_PATIENCE, until)} in all`;
  return `the room had been outside its band for two hours (${temperature.toFixed(1)} °C then), ${length}`;
}

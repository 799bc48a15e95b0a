/**
 * The visits as an iCalendar file (RFC 5545) that a phone takes.
 *
 * Always holds: one event a walk (a controller's visits of one day and minute);
 * its UID depends on plan, controller, day and minute alone, so importing again
 * updates it; a walk that an earlier file had and the plan no longer has is
 * cancelled by name; times are UTC instants, so no zone data is needed.
 */

import ical, { ICalAlarmType, ICalCalendarMethod, type ICalEventData, ICalEventStatus } from 'ical-generator';
import { harmless } from '../../../compiler/findings/harmless.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { firstInstant, type UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { sure } from '../../../shared/assert.ts';
import { isoDate, unixMsFromUtc, utcFromUnixMs } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { list } from '../../words/lists.ts';
import { remindersWords } from '../../words/reminders.ts';
import { cautionsFor, doWords, itemWords } from './text.ts';
import type { WorkItem } from './work.ts';

/** An event that an earlier file held. */
export interface EarlierEvent {
  readonly uid: string;
  readonly start: string;
  readonly sequence: number;
}

const MINUTE_MS = 60_000;
/** Long enough for a walk; the window itself may last all day and would hide other appointments. */
const WALK_MINUTES = 30;
/** Sequence numbers count minutes from 2020, so each export is newer than the last and they stay small. */
const SEQUENCE_EPOCH_MS = Date.UTC(2020, 0, 1);

/** What a file is made from. */
export interface CalendarContents {
  readonly items: readonly WorkItem[];
  /** Controllers whose reminders end before the plan does, and the last day that has them. */
  readonly ends: readonly { readonly controller: string; readonly day: CivilDay }[];
  /** The events of the file that is replaced. */
  readonly earlier: readonly EarlierEvent[];
}

/** The file's text. `name` is the plan's name. */
export function visitCalendar(
  plan: ResolvedPlan,
  name: string,
  { items, ends, earlier }: CalendarContents,
  offsets: UtcOffsets,
  nowMs: number,
): string {
  const calendar = ical({
    name: `${plan.title}: visits`,
    description: cautionsFor(items).join('\n'),
    prodId: { company: 'Leanward', product: 'visits', language: 'EN' },
    method: ICalCalendarMethod.PUBLISH,
  });
  const sequence = Math.floor((nowMs - SEQUENCE_EPOCH_MS) / MINUTE_MS);
  const stamp = new Date(nowMs);
  const events = new Map<string, ICalEventData>();
  const walks = [...gather(plan, name, items)];
  // The cautions are told once: in the first event of the file, for few phones show what is said of a calendar.
  for (const [i, [uid, walk]] of walks.entries()) {
    const cautions = i === 0 ? ['', ...cautionsFor(items)] : [];
    events.set(uid, eventOf(walk, offsets, cautions));
  }
  for (const { controller, day } of ends) {
    const uid = `${uidPart(name)}.${uidPart(controller)}.${isoDate(day)}.flash@leanward`;
    events.set(uid, flashEvent(plan, controller, day, offsets));
  }
  for (const [id, event] of events) calendar.createEvent({ ...event, id, sequence, stamp });
  for (const gone of cancelled(earlier, events, name, nowMs)) {
    calendar.createEvent({
      ...{ id: gone.uid, stamp, summary: 'No visit' },
      start: readUtc(gone.start),
      sequence: Math.max(sequence, gone.sequence + 1),
      status: ICalEventStatus.CANCELLED,
    });
  }
  return refold(withoutControls(calendar.toString()));
}

/** The day on which a controller must have been flashed again, in the visiting hours. */
function flashEvent(
  plan: ResolvedPlan,
  controller: string,
  day: CivilDay,
  offsets: UtcOffsets,
): ICalEventData {
  const start = unixMsFromUtc(firstInstant(offsets, day, plan.visits.hours[0]?.[0] ?? 0));
  const summary = `Flash ${controller} again`;
  return {
    start: new Date(start),
    end: new Date(start + WALK_MINUTES * MINUTE_MS),
    summary,
    description: `Not all visits fit: ${remindersWords(day)}.`,
    alarms: [{ type: ICalAlarmType.display, trigger: 0, description: summary }],
  };
}

type Walk = readonly [WorkItem, ...WorkItem[]];

function gather(plan: ResolvedPlan, name: string, items: readonly WorkItem[]): Map<string, Walk> {
  const walks = new Map<string, Walk>();
  for (const item of items) {
    const controller = plan.controllers[item.controller]?.name ?? 'rack';
    const minute = String(item.at).padStart(4, '0');
    const uid = `${uidPart(name)}.${uidPart(controller)}.${isoDate(item.day)}.${minute}@leanward`;
    const before = walks.get(uid);
    walks.set(uid, before ? [...before, item] : [item]);
  }
  return walks;
}

/** Letters and digits as they are, anything else as its code, so that two names never meet. */
function uidPart(text: string): string {
  return text.replace(/[^A-Za-z0-9-]/g, (sign) => `_${sure(sign.codePointAt(0)).toString(16)}_`);
}

function eventOf(walk: Walk, offsets: UtcOffsets, cautions: readonly string[]): ICalEventData {
  const [first] = walk;
  const start = unixMsFromUtc(firstInstant(offsets, first.day, first.at));
  const advice = [...new Set(walk.map((item) => item.lookFor))];
  return {
    start: new Date(start),
    end: new Date(start + WALK_MINUTES * MINUTE_MS),
    summary: summaryOf(walk),
    description: [...walk.map(itemWords), '', ...advice, ...cautions].join('\n'),
    alarms: [{ type: ICalAlarmType.display, trigger: 0, description: summaryOf(walk) }],
  };
}

/** `Lift A and C, look at B`. */
function summaryOf(walk: Walk): string {
  const byWork = new Map<string, string[]>();
  for (const item of walk) {
    const work = doWords({ kind: item.kind, closer: false });
    const places = byWork.get(work) ?? [];
    if (!places.includes(shortPlace(item))) places.push(shortPlace(item));
    byWork.set(work, places);
  }
  const text = [...byWork].map(([work, places]) => `${work} ${list(places)}`).join(', ');
  return text.charAt(0).toUpperCase() + text.slice(1);
}

const shortPlace = ({ zone, batch }: WorkItem): string => (zone === '' ? `batch ${batch}` : zone);

function cancelled(
  earlier: readonly EarlierEvent[],
  walks: ReadonlyMap<string, unknown>,
  name: string,
  nowMs: number,
): EarlierEvent[] {
  const ours = `${uidPart(name)}.`;
  return earlier.filter(
    (event) => event.uid.startsWith(ours) && !walks.has(event.uid) && readUtc(event.start).getTime() > nowMs,
  );
}

/** `20260413T170000Z` as an instant. */
function readUtc(text: string): Date {
  const [, y, mo, d, h, mi, s] = /^(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z$/.exec(text) ?? [];
  return new Date(Date.UTC(Number(y), Number(mo) - 1, Number(d), Number(h), Number(mi), Number(s)));
}

/** Days from `today` on that a new file must reach, so that it cancels nothing merely because it ends sooner. */
export function daysReached(earlier: readonly EarlierEvent[], today: CivilDay): number {
  const days = earlier.map((event) => Math.floor(utcFromUnixMs(readUtc(event.start).getTime()) / 86_400));
  // A day more: the last start may be a day later at the place than in UTC.
  return Math.max(0, ...days.map((day) => day - today + 2));
}

/** The events of a file of ours, to be given as `earlier`; a file that is something else has none. */
export function eventsIn(text: string): EarlierEvent[] {
  const unfolded = text.replace(/\r?\n[ \t]/g, '');
  return unfolded.split(/BEGIN:VEVENT\r?\n/).flatMap((event) => {
    const field = (key: string): string | undefined => new RegExp(`^${key}:(.*?)\r?$`, 'm').exec(event)?.[1];
    const uid = field('UID');
    const start = field('DTSTART');
    if (!uid?.endsWith('@leanward') || !start || Number.isNaN(readUtc(start).getTime())) return [];
    return [{ uid, start, sequence: Number(field('SEQUENCE') ?? 0) }];
  });
}

/** Names from the plan bring no control or direction characters into the file. */
function withoutControls(text: string): string {
  return text
    .split('\r\n')
    .map((line) => harmless(line).replaceAll('\n', ' '))
    .join('\r\n');
}

/** Lines of at most 75 octets, as RFC 5545 section 3.1 asks (the library counts characters), the last one ended too. */
function refold(text: string): string {
  const lines = text.replace(/\r\n[ \t]/g, '').split('\r\n');
  return `${lines
    .filter((line) => line !== '')
    .map(foldLine)
    .join('\r\n')}\r\n`;
}

function foldLine(line: string): string {
  const folded: string[] = [];
  let part = '';
  let octets = 0;
  for (const sign of line) {
    const size = new TextEncoder().encode(sign).length;
    if (octets + size > 75) {
      folded.push(part);
      part = ' ';
      octets = 1;
    }
    part += sign;
    octets += size;
  }
  return [...folded, part].join('\r\n');
}

/**
 * Visits open, answered, missed and taken back (behaviour.md, section 7).
 *
 * Always holds: what was answered is rebuilt from the log alone; visits
 * answered or missed at one moment make as few records as kinds, due instants
 * and outcomes allow.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { type LogRecord, VISIT_OUTCOME } from '../../shared/log.ts';
import { utcSeconds } from '../../shared/units.ts';
import { scheduleDayAt, scheduleInstant } from '../schedule.ts';
import { appendRecord, oldestSequence, recordAt } from './log-ring.ts';
import type { SimulatedController } from './state.ts';
import { HARVEST, hoursEnd, type Occurrence } from './visit-days.ts';

const DAY_SECONDS = 86_400;
const LATE_SECONDS = 7_200;
const OUTAGE_SECONDS = 14 * DAY_SECONDS;
const TAKE_BACK_SECONDS = 7 * DAY_SECONDS;
const ZONES = 16;
const ALL_ZONES = 0xffff;
const REMINDER_DAYS = 7;
const LAST_DAYS = 3;

interface Answer {
  readonly visit: Occurrence;
  zones: number;
  readonly outcome: number;
}

/** The zones of `mask` for which `test` holds. */
function zonesWhere(mask: number, test: (zone: number) => boolean): number {
  let found = 0;
  for (let zone = 0; zone < ZONES; zone++) if (mask & (1 << zone) && test(zone)) found |= 1 << zone;
  return found;
}

/** Zones of a visit that have not been answered or missed. */
function unclosedZones({ state }: SimulatedController, { kind, zones, day }: Occurrence): number {
  return zonesWhere(zones, (zone) => itemAt(state.closed, ZONES * kind + zone) < day);
}

const isNow = ({ due, end }: Occurrence, t: number): boolean => due <= t && t < end;

/** Zones of visit kind `kind` with an open visit at the second last processed. */
export function openZones(controller: SimulatedController, kind: number): number {
  const { last } = controller.state.retained;
  if (!controller.state.known) return 0;
  return controller.occurrences
    .filter((visit) => visit.kind === kind && isNow(visit, last))
    .reduce((mask, visit) => mask | unclosedZones(controller, visit), 0);
}

/** Visits that ask for the grower at second `t`, with their zones: open ones, harvests only while reminding. */
export function askingVisits(
  controller: SimulatedController,
  t: number,
): { visit: Occurrence; zones: number }[] {
  if (!controller.state.known) return [];
  return controller.occurrences
    .filter((visit) => isNow(visit, t))
    .map((visit) => ({ visit, zones: askingZones(controller, visit, t) }))
    .filter(({ zones }) => zones !== 0);
}

function askingZones(controller: SimulatedController, visit: Occurrence, t: number): number {
  const zones = unclosedZones(controller, visit);
  if (visit.kind !== HARVEST) return zones;
  const { state, schedule } = controller;
  const today = scheduleDayAt(schedule, t);
  const since = today - visit.day;
  const turn = since % REMINDER_DAYS === 0 || since >= visit.days - LAST_DAYS;
  const from = scheduleInstant(schedule, today, visit.at);
  const until = scheduleInstant(schedule, today, hoursEnd(sure(schedule), visit.at));
  if (!turn || t < from || t >= until) return 0;
  return zonesWhere(zones, (zone) => itemAt(state.seen, zone) < today);
}

/** The instant at which a visit began to ask on the day of `t`: a harvest asks anew on each day of its reminder. */
export function askedSince({ schedule }: SimulatedController, visit: Occurrence, t: number): number {
  return visit.kind === HARVEST ? scheduleInstant(schedule, scheduleDayAt(schedule, t), visit.at) : visit.due;
}

/** A short press. */
export function answerPress(controller: SimulatedController): void {
  const { last } = controller.state.retained;
  const open = askingVisits(controller, last).map(({ visit, zones }) => ({
    visit,
    zones,
    outcome: visit.kind === HARVEST ? harvestOutcome(controller, visit) : outcomeNow(visit, last),
  }));
  conclude(controller, open.length > 0 ? open : comingAnswers(controller, undefined, ALL_ZONES));
}

const outcomeNow = ({ due }: Occurrence, t: number): number =>
  t < due + LATE_SECONDS ? VISIT_OUTCOME.done : VISIT_OUTCOME.late;

function harvestOutcome(controller: SimulatedController, visit: Occurrence): number {
  const today = scheduleDayAt(controller.schedule, controller.state.retained.last);
  return today - visit.day >= visit.days - LAST_DAYS ? VISIT_OUTCOME.done : VISIT_OUTCOME.seen;
}

/** *Visit done* over the link; false when there is none to answer. */
export function answerLink(controller: SimulatedController, kind: number, mask: number): boolean {
  const { known, retained } = controller.state;
  if (!known) return false;
  const open = controller.occurrences
    .filter((visit) => visit.kind === kind && isNow(visit, retained.last))
    .map((visit) => ({
      visit,
      zones: unclosedZones(controller, visit) & mask,
      outcome: kind === HARVEST ? VISIT_OUTCOME.done : outcomeNow(visit, retained.last),
    }))
    .filter(({ zones }) => zones !== 0);
  const answers = open.length > 0 ? open : comingAnswers(controller, kind, mask);
  conclude(controller, answers);
  return answers.length > 0;
}

/** The coming visits with the earliest due instant that may be answered early. */
function comingAnswers(controller: SimulatedController, kind: number | undefined, mask: number): Answer[] {
  const { known, retained } = controller.state;
  if (!known) return [];
  const able = controller.occurrences
    .filter((visit) => kind === undefined || visit.kind === kind)
    .filter(({ due, early }) => due > retained.last && due - retained.last <= early)
    .map((visit) => ({
      visit,
      zones: unclosedZones(controller, visit) & mask,
      outcome: VISIT_OUTCOME.done,
    }))
    .filter(({ zones }) => zones !== 0);
  const first = Math.min(...able.map(({ visit }) => visit.due));
  return able.filter(({ visit }) => visit.due === first);
}

/** Joins answers of one kind, due instant and outcome; in the order of their records. */
function gather(answers: readonly Answer[]): Answer[] {
  const gathered: Answer[] = [];
  for (const answer of answers) {
    const same = gathered.find(
      ({ visit, outcome }) =>
        visit.kind === answer.visit.kind && visit.due === answer.visit.due && outcome === answer.outcome,
    );
    if (same) same.zones |= answer.zones;
    else gathered.push({ ...answer });
  }
  return gathered.sort(
    (one, other) =>
      one.visit.kind - other.visit.kind || one.visit.due - other.visit.due || one.outcome - other.outcome,
  );
}

/** Logs the answers and closes their visits. */
function conclude(controller: SimulatedController, answers: readonly Answer[]): void {
  const { state } = controller;
  for (const { visit, zones, outcome } of gather(answers)) {
    logVisit(controller, visit.kind, outcome, zones, visit.due);
    mark(
      controller,
      visit.kind,
      outcome,
      zones,
      visit.day,
      scheduleDayAt(controller.schedule, state.retained.last),
    );
  }
}

function logVisit(
  controller: SimulatedController,
  kind: number,
  outcome: number,
  zones: number,
  due: number,
): void {
  const { last } = controller.state.retained;
  const late = Math.floor((last - due) / 60);
  const lateMinutes = Math.max(-0x8000, Math.min(0x7fff, late));
  appendRecord(controller, { type: 'visit', time: utcSeconds(last), kind, outcome, zones, lateMinutes });
}

/** Takes an outcome into the visit state. `day`: due day; `today`: the day of the answer. */
function mark(
  { state }: SimulatedController,
  kind: number,
  outcome: number,
  zones: number,
  day: number,
  today: number,
): void {
  for (let zone = 0; zone < ZONES; zone++) {
    if ((zones & (1 << zone)) === 0) continue;
    const at = ZONES * kind + zone;
    if (outcome === VISIT_OUTCOME.seen) state.seen[zone] = today;
    else if (outcome !== VISIT_OUTCOME.undone) state.closed[at] = Math.max(itemAt(state.closed, at), day);
    else if (kind !== HARVEST) state.closed[at] = day - 1;
    else {
      state.closed[at] = -1;
      state.seen[zone] = -1;
    }
  }
}

/** Rebuilds the visit state from the log. */
export function rebuildVisits(controller: SimulatedController): void {
  const { state } = controller;
  state.closed.fill(-1);
  state.seen.fill(-1);
  const oldest = oldestSequence(controller);
  for (let sequence = oldest; sequence > 0 && sequence <= state.newest; sequence++) {
    const record = recordAt(controller, sequence);
    if (record?.type !== 'visit' || record.kind > HARVEST) continue;
    const { kind, outcome, zones, time } = record;
    const day = scheduleDayAt(controller.schedule, dueOf(record));
    mark(controller, kind, outcome, zones, day, scheduleDayAt(controller.schedule, time));
  }
}

const dueOf = ({ time, lateMinutes }: { time: number; lateMinutes: number }): number =>
  time - 60 * lateMinutes;

/** Misses what ended since the previous check; the check is then at `t`. */
export function checkDueVisits(controller: SimulatedController, t: number): void {
  const { retained, known } = controller.state;
  if (!known) return;
  const previous = retained.visitCheck;
  retained.visitCheck = t;
  if (previous < 0 || previous >= t) return;
  const missed: Answer[] = [];
  for (let at = firstEndAfter(controller.occurrences, previous); ; at++) {
    const visit = controller.occurrences[at];
    if (!visit || visit.end > t) break;
    const zones = missedZones(controller, visit);
    if (zones) missed.push({ visit, zones, outcome: VISIT_OUTCOME.missed });
  }
  if (t - previous <= OUTAGE_SECONDS) conclude(controller, missed);
  else passOver(controller, missed);
}

/** Zones that missed a visit; those whose harvest was seen are closed without more. */
function missedZones(controller: SimulatedController, visit: Occurrence): number {
  const zones = unclosedZones(controller, visit);
  if (visit.kind !== HARVEST) return zones;
  const { state } = controller;
  const seen = zonesWhere(zones, (zone) => itemAt(state.seen, zone) >= visit.day);
  mark(controller, visit.kind, VISIT_OUTCOME.missed, seen, visit.day, visit.day);
  return zones & ~seen;
}

/** After a long outage: closes without records of each. */
function passOver(controller: SimulatedController, missed: readonly Answer[]): void {
  const gathered = gather(missed);
  for (const { visit, zones, outcome } of gathered) {
    mark(controller, visit.kind, outcome, zones, visit.day, visit.day);
  }
  if (gathered.length === 0) return;
  const time = utcSeconds(controller.state.retained.last);
  appendRecord(controller, { type: 'visitsPassed', time, count: Math.min(0xffff, gathered.length) });
}

/** Index of the first visit whose window ends after `t`. */
function firstEndAfter(occurrences: readonly Occurrence[], t: number): number {
  let low = 0;
  let high = occurrences.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (itemAt(occurrences, middle).end > t) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** When the next window ends; in the past when a step of the clock has left some unchecked. */
export function nextVisitEnd({ state, occurrences }: SimulatedController): number {
  const { visitCheck, last } = state.retained;
  const next = occurrences[firstEndAfter(occurrences, visitCheck < 0 ? last : visitCheck)];
  return state.known && next ? next.end : Number.POSITIVE_INFINITY;
}

/** Takes back the newest answer of `kind` for `mask`; false when there is none. */
export function takeBack(controller: SimulatedController, kind: number, mask: number): boolean {
  const { state } = controller;
  if (!state.known) return false;
  let undecided = mask;
  const oldest = oldestSequence(controller);
  for (let sequence = state.newest; sequence >= oldest && undecided !== 0 && oldest > 0; sequence--) {
    const record = recordAt(controller, sequence);
    if (record?.type !== 'visit' || record.kind !== kind) continue;
    if (record.time < state.retained.last - TAKE_BACK_SECONDS) return false;
    const zones = record.zones & undecided;
    undecided &= ~zones;
    if (zones === 0 || !isAnswer(record)) continue;
    const due = dueOf(record);
    logVisit(controller, kind, VISIT_OUTCOME.undone, zones, due);
    const day = scheduleDayAt(controller.schedule, due);
    mark(controller, kind, VISIT_OUTCOME.undone, zones, day, day);
    return true;
  }
  return false;
}

function isAnswer(record: LogRecord): boolean {
  const answers: number[] = [VISIT_OUTCOME.done, VISIT_OUTCOME.late, VISIT_OUTCOME.seen];
  return record.type === 'visit' && answers.includes(record.outcome);
}

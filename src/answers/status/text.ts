/**
 * A controller's status for people and for machines.
 *
 * Always holds: both say the same; times for machines are UTC.
 */

import { clockTime, isoDate, isoInstant } from '../../../shared/civil.ts';
import { RING_RECORDS } from '../../../shared/log.ts';
import { type Table, VISIT_KINDS } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { faultWords, hex, roomTemperature, startWords } from '../../words/controller.ts';
import { lengthWords } from '../../words/lengths.ts';
import { list } from '../../words/lists.ts';
import { type Names, oneOutput, zoneWords } from '../../words/names.ts';
import { remindersWords } from '../../words/reminders.ts';
import { lastLight } from '../changes/course.ts';
import { fullWords } from '../log/ring.ts';
import type { BoardFacts, HostTime, Status } from './status.ts';

export interface StatusAnswer {
  readonly status: Status;
  readonly board: BoardFacts;
  readonly revision: string;
  readonly unit: number;
  readonly path: string;
  /** The host's time when the status came. */
  readonly host: HostTime;
  /** The table that runs, read back; undefined: none does. */
  readonly table: Table | undefined;
  /** What plan and archive say of it, where a plan was named. */
  readonly plan?: AgainstPlan;
}

/** A controller against its plan. */
export interface AgainstPlan {
  /** The UTC offset at the place now, quarter hours. */
  readonly quarters: number;
  /** How the plan was changed and not flashed, in words. */
  readonly behind: string | undefined;
  /** The last day whose reminders the board has, where the plan has visits after them. */
  readonly remindersUntil: CivilDay | undefined;
  /** Records that the archive does not have yet; undefined without an archive. */
  readonly unread: number | undefined;
}

const STATES: readonly (readonly [keyof Status['state'], string])[] = [
  ['trial', 'a new table is on trial'],
  ['workLight', 'the work light is on'],
  ['hand', 'outputs are switched by hand'],
  ['roomOutside', 'the room is outside its band'],
  ['starting', 'just started, outputs still waiting'],
  ['upload', 'a table is being sent'],
];

/** Seconds by which the controller's clock is ahead of the host's. */
export function clockAhead({ status, host }: Pick<StatusAnswer, 'status' | 'host'>): number {
  const { seconds, sub } = status.time;
  return seconds - host.seconds + (sub - host.sub) / 256;
}

/** Lines for the grower. */
export function statusLines(answer: StatusAnswer, names: Names): string[] {
  return columns(statusRows(answer, names));
}

/** What there is to tell, each with its heading. */
export function statusRows(answer: StatusAnswer, names: Names): [heading: string, words: string][] {
  const { status, plan } = answer;
  const rows: [string, string | undefined][] = [
    ['Controller', controllerWords(answer)],
    ['Clock', clockWords(answer)],
    ['Table', tableWords(answer)],
    ['Plan', plan?.behind && `${plan.behind}; leanward flash puts it on`],
    ['Reminders', plan?.remindersUntil && remindersWords(plan.remindersUntil)],
    ['Lamps', lampWords(answer, names)],
    ['Now', nowWords(status)],
    ['Visits due', dueWords(status, names)],
    ['Room', roomWords(status, names)],
    ['Supply', supplyWords(answer)],
    ['Faults', list(status.faults.map(faultWords))],
    ['Log', logWords(answer)],
    ['Last start', lastStartWords(status)],
  ];
  return rows.flatMap(([heading, words]) => (words === undefined ? [] : [[heading, words]]));
}

function roomWords({ temperature }: Status, { units }: Names): string {
  return temperature === undefined ? 'no reading yet, or no probe' : roomTemperature(temperature, units);
}

function controllerWords({ board, revision, unit, path, status }: StatusAnswer): string {
  const identity = status.identity === 0 ? 'no identity yet' : `identity ${hex(status.identity, 8)}`;
  return `${board.title} (${board.id}), firmware ${revision}, unit ${unit} on ${path}, ${identity}`;
}

function clockWords(answer: StatusAnswer): string {
  const { time } = answer.status;
  if (!time.known) return 'not set: all lamps stay off until it is (leanward flash sets it)';
  const local = time.seconds + time.quarters * 900;
  const day = Math.floor(local / 86_400);
  const minute = Math.floor((local - day * 86_400) / 60);
  const ahead = clockAhead(answer);
  const near = Math.abs(ahead) < 1.5;
  const off = near ? 'right' : `${apartWords(Math.abs(ahead))} ${ahead > 0 ? 'fast' : 'slow'}`;
  const zone = offsetWords(answer);
  const estimated = time.estimated ? ', estimated since its battery failed' : '';
  return `${isoDate(civilDay(day))} ${clockTime(minute)}, ${[near && zone ? '' : off, zone].filter(Boolean).join('; ')}${estimated}`;
}

/** What is to be said of the clock changes that its table knows; undefined where they hold. */
function offsetWords({ status, table, plan, host }: StatusAnswer): string | undefined {
  const { quarters } = status.time;
  if (plan && !table && plan.quarters !== quarters)
    return 'in UTC: it learns the clocks of the place when it is flashed';
  if (plan && plan.quarters !== quarters) {
    const apart = Math.abs(plan.quarters - quarters) * 15;
    const way = quarters < plan.quarters ? 'behind' : 'ahead of';
    return `${lengthWords(apart)} ${way} the clocks at the place: its table does not know that they changed (flash again)`;
  }
  if (plan || !table) return undefined;
  const last = lastLight(table);
  if (last === undefined || Math.floor(host.seconds / 86_400) <= last) return undefined;
  return `in UTC, but its table ends on ${isoDate(last)} and knows no clock change after that`;
}

function logWords({ status, plan }: StatusAnswer): string {
  const { logOldest, logNewest } = status;
  if (logNewest === 0) return 'empty';
  const unread =
    plan?.unread === undefined ? '' : `; ${plan.unread === 0 ? 'all' : `all but ${plan.unread}`} read`;
  return `records ${logOldest} to ${logNewest}, ${fullWords(logOldest, logNewest)}${unread}`;
}

function apartWords(seconds: number): string {
  return seconds < 120 ? `${seconds.toFixed(1)} s` : lengthWords(seconds / 60);
}

function nowWords({ state, running }: Status): string {
  const words = STATES.filter(([key]) => state[key]).map(([, text]) => text);
  if (words.length > 0) return list(words);
  return running === undefined ? 'waits for a table' : 'follows its table';
}

function tableWords({ status, table }: StatusAnswer): string {
  const { running, trialLeft, state, time } = status;
  if (running === undefined) return 'none: all lamps are off';
  const trial = state.trial ? `, on trial for another ${trialLeft} s` : '';
  const last = table && lastLight(table);
  const over = last !== undefined && time.known && Math.floor(time.seconds / 86_400) > last + 1;
  const ended = over ? `; its plan has ended: no light after ${isoDate(last)}` : '';
  return `number ${running.sequence}, ${running.length} bytes, plan ${hex(running.digest, 8)}${trial}${ended}`;
}

function lampWords({ status, board }: StatusAnswer, names: Names): string {
  const on = status.levels
    .slice(0, board.outputs)
    .flatMap((level, i) => (level > 0 ? [litWords(level, i + 1, names)] : []));
  return on.length === 0 ? 'all off' : `on: ${list(on)}`;
}

function litWords(level: number, output: number, names: Names): string {
  const name = oneOutput(output, names);
  return level === 255 ? name : `${name} at ${Math.round((level / 255) * 100)} %`;
}

function dueWords(status: Status, names: Names): string {
  return list(
    VISIT_KINDS.flatMap((kind) =>
      status.due[kind] ? [`${kind} in ${zoneWords(status.due[kind], names)}`] : [],
    ),
  );
}

function supplyWords({ status: { supply }, board }: StatusAnswer): string {
  if (supply === undefined) return 'not measured';
  const writes = supply < board.supplyNeeded ? 'too low: it writes' : 'it writes';
  const limit = `${writes} nothing below ${(board.supplyNeeded / 1_000).toFixed(2)} V`;
  return `${(supply / 1_000).toFixed(2)} V; ${limit}`;
}

function lastStartWords({ bootCause, outage, resets }: Status): string {
  const off =
    outage === undefined || outage === 0 ? '' : `; before that off for about ${lengthWords(outage)}`;
  const since = resets === 1 ? 'once' : `${resets} times`;
  return `${startWords(bootCause)} (${since} since power came on)${off}`;
}

/** The same for machines. */
export function statusJson(answer: StatusAnswer): Record<string, unknown> {
  const { status, board, revision, unit, path } = answer;
  const { time, running } = status;
  return {
    port: path,
    unit,
    board: board.id,
    firmware: revision,
    identity: status.identity === 0 ? null : hex(status.identity, 8),
    clock: {
      utc: time.known ? isoInstant(time.seconds) : null,
      offsetMinutes: time.quarters * 15,
      estimated: time.estimated,
      aheadSeconds: time.known ? Math.round(clockAhead(answer) * 1000) / 1000 : null,
    },
    table: running === undefined ? null : tableJson(running, status),
    levels: status.levels.slice(0, board.outputs),
    state: status.state,
    visitsDue: status.due,
    temperature: status.temperature ?? null,
    supplyMillivolts: status.supply ?? null,
    supplyNeededMillivolts: board.supplyNeeded,
    faults: status.faults.map((number) => ({ number, words: faultWords(number) })),
    log: {
      oldest: status.logOldest,
      newest: status.logNewest,
      room: RING_RECORDS,
      unread: answer.plan?.unread ?? null,
    },
    plan: answer.plan
      ? {
          offsetMinutes: answer.plan.quarters * 15,
          behind: answer.plan.behind ?? null,
          remindersUntil:
            answer.plan.remindersUntil === undefined ? null : isoDate(answer.plan.remindersUntil),
        }
      : null,
    lastStart: {
      cause: startWords(status.bootCause),
      minutesOff: status.outage ?? null,
      resets: status.resets,
    },
  };
}

function tableJson(running: NonNullable<Status['running']>, status: Status): Record<string, unknown> {
  return {
    sequence: running.sequence,
    bytes: running.length,
    crc: hex(running.crc, 8),
    digest: hex(running.digest, 8),
    trialSecondsLeft: status.state.trial ? status.trialLeft : null,
  };
}

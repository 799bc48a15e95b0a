/**
 * One controller's log, replayed: what its outputs showed at every second, and
 * how far that is proved.
 *
 * Always holds: nothing is guessed; a day's proof is compared with the replay's
 * own trace of that day; where records were lost, the replay goes on as if
 * nothing had happened and says so, and the next proofs decide.
 */

import { Model } from '../../../firmware-sim/replay/model.ts';
import {
  OUTPUTS,
  openSchedule,
  type Schedule,
  scheduleDayAt,
  scheduleInstant,
} from '../../../firmware-sim/schedule.ts';
import { SMALL_STEP_SECONDS } from '../../../shared/behaviour.ts';
import {
  BOOT_CAUSE,
  FAULT,
  FIRST_SEQUENCE,
  HAND_END,
  type LogRecord,
  OUTAGE_UNKNOWN,
} from '../../../shared/log.ts';
import { Gathered } from './gathered.ts';
import { endsTold, Hands } from './hands.ts';
import { settleTables, UNKNOWN_TABLE } from './settle.ts';
import { type Change, type DayProof, type Instant, Pieces, type Settled, type Story } from './story.ts';

/** What the replay needs beside the records. */
export interface ReplayInput {
  /** In order of sequence. */
  readonly records: readonly LogRecord[];
  /** Tables by CRC-32, in the order they were flashed. */
  readonly tables: ReadonlyMap<number, Uint8Array>;
  /** UTC second of each table's flash by the host's clock, by its CRC, where that was kept. */
  readonly flashedAt?: ReadonlyMap<number, number>;
  /** CRC of the confirmed table at the first record, when known from before. */
  readonly before: number | undefined;
  /** Records before the first one were lost: what `before` says may be out of date. */
  readonly lostBefore: boolean;
  readonly outputs: number;
  /** The controller's second up to which the log was read, when later than its last record. */
  readonly readUntil: number | undefined;
  /** The clock was set right after that: seconds by which it went forward. The log tells of it only when read again. */
  readonly setAfter?: number | undefined;
}

/** The power goes somewhere in the minute after the last-alive minute. */
const HALF_MINUTE = 30;
const BY_RESTART = 0x40;
const BY_REQUEST = 0x80;

/** Model time before the first thing known, so that dwell and limits stand as they would. */
const WARM_UP = 2 * 86_400;

/** Replays the records; where some were lost, with the tables that the days left speak for. */
export function replay(input: ReplayInput): Story {
  const settled = settleTables({
    records: input.records,
    // What was flashed last is the likeliest.
    tables: [...input.tables.keys()].reverse(),
    flashedAt: input.flashedAt ?? new Map(),
    before: input.before,
    lostBefore: input.lostBefore,
    proofsUnder: (records, before) =>
      replaySettled({ ...input, records, before, readUntil: undefined }, new Map()).proofs,
  });
  return replaySettled(input, settled);
}

function replaySettled(input: ReplayInput, settled: ReadonlyMap<number, Settled>): Story {
  const replayer = new Replayer(input, settled);
  let previous: LogRecord | undefined;
  for (const [i, record] of input.records.entries()) {
    replayer.noticeLoss(record, previous);
    replayer.take(record, input.records[i + 1]);
    previous = record;
  }
  replayer.finish();
  return replayer.story();
}

type Of<Type extends LogRecord['type']> = Extract<LogRecord, { type: Type }>;

class Replayer {
  private readonly input: ReplayInput;
  private readonly model: Model;
  private readonly pieces = new Pieces();
  private readonly got = new Gathered(this.pieces);
  private readonly hands = new Hands(this.got.hands);
  private readonly schedules = new Map<number, Schedule | undefined>();
  private readonly settled: ReadonlyMap<number, Settled>;
  private confirmed: number | undefined;
  private running: number | undefined;
  /** Where the model was started without knowing what came before: a switching of then may go on in that day. */
  private blindFrom: number | undefined;
  private estimatedSince: Instant | undefined;

  constructor(input: ReplayInput, settled: ReadonlyMap<number, Settled>) {
    this.input = input;
    this.settled = settled;
    this.confirmed = input.before;
    this.model = new Model(input.outputs);
    this.model.onLevels = this.show;
  }

  private readonly show = (at: number, levels: Uint8Array): void => this.push(at, levels, this.stateNow());

  private stateNow(): Change['state'] {
    if (this.model.schedule) return 'run';
    return this.running === undefined ? 'none' : 'unknown';
  }

  private push(at: number, levels: Uint8Array, state: Change['state']): void {
    const known = state === 'unknown' ? undefined : Uint8Array.from(levels);
    this.got.changes.push({ ...this.pieces.now(at), levels: known, state });
  }

  /**
   * Records missing before one: from the last thing known to the end of the day
   * on which they go on (a switching may last so long) all is unknown, unless a
   * proof covers it.
   */
  noticeLoss(record: LogRecord, previous: LogRecord | undefined): void {
    const settled = this.settled.get(record.sequence);
    if (!settled) return;
    const { crc } = settled;
    if (!previous) {
      this.confirmed = crc;
      return;
    }
    const from = this.loseSetting(record) ?? this.pieces.now(this.model.last);
    this.confirmed = crc;
    const begin = this.beginOf(record, crc);
    if (record.type === 'boot') {
      this.lose(record, previous, from, this.pieces.now(Math.max(this.model.last, record.time)));
      return;
    }
    const { last } = this.model;
    if (begin > last) {
      this.push(last, this.model.levels, 'unknown');
      this.takeUp(begin, crc);
    } else {
      this.useTable(crc, last);
    }
    const end = this.dayEnd(record, Math.max(begin, last));
    this.lose(record, previous, from, this.pieces.now(end));
  }

  /** The setting of an estimated clock is among what was lost: when all since happened, nobody knows. */
  private loseSetting(record: LogRecord): Instant | undefined {
    const since = this.estimatedSince;
    if (!since || record.estimated) return undefined;
    this.got.estimated.push({ from: since, until: this.pieces.now(this.model.last), behind: undefined });
    this.got.doubtProofs(since.piece);
    this.estimatedSince = undefined;
    return since;
  }

  private lose(record: LogRecord, previous: LogRecord, from: Instant, until: Instant): void {
    this.got.lost.push({
      from,
      until,
      records: record.sequence - previous.sequence - 1,
      next: record.sequence,
    });
  }

  /** The first second of the civil day that a record tells of; the record's own, where that day is not whole. */
  private beginOf(record: LogRecord, crc: number | undefined): number {
    const schedule = crc === undefined ? undefined : this.schedule(crc);
    const day = 'day' in record ? record.day : scheduleDayAt(schedule, record.time);
    if (!this.isPartial(record, day)) return scheduleInstant(schedule, day, 0);
    return 'time' in record ? record.time : scheduleInstant(schedule, day + 1, 0);
  }

  /** Whether the record of a day, the next one from `record` on, says that it is not whole. */
  private isPartial(record: LogRecord, day: number): boolean {
    const { records } = this.input;
    const proof = records.find(
      (one) => one.sequence >= record.sequence && one.type === 'proof' && one.day >= day,
    );
    return proof?.type === 'proof' && proof.day === day && proof.partial;
  }

  private dayEnd(record: LogRecord, begin: number): number {
    const { schedule } = this.model;
    const day = 'day' in record ? record.day : scheduleDayAt(schedule, Math.max(record.time, begin));
    return scheduleInstant(schedule, day + 1, 0);
  }

  take(record: LogRecord, next: LogRecord | undefined): void {
    const behind = record.type === 'clockSet' ? record.forward : 0;
    // A day's records may be written before its end, when the clock is set: only events tell the time.
    if ('time' in record) this.got.faults.settle(record.time - behind);
    this.got.faults.moveClock(behind, this.estimatedSince === undefined);
    if (record.type === 'boot') this.boot(record);
    else if (record.type === 'proof') this.proof(record, next);
    else if (record.type === 'clockSet') this.clockSet(record);
    else if (record.type === 'fault') this.fault(record);
    else if (record.type === 'committed' || record.type === 'confirmed' || record.type === 'reverted')
      this.table(record);
    else if (record.type === 'hand' || record.type === 'handEnd' || record.type === 'workLight')
      this.overlay(record);
    else this.startBlind(record);
  }

  /** The log goes on to where it was read. */
  finish(): void {
    const { readUntil } = this.input;
    if (readUntil !== undefined && this.model.last >= 0) this.model.advance(readUntil);
    this.hands.goOn(this.model.last, this.pieces.count - 1);
    const since = this.estimatedSince;
    if (!since) return;
    const { setAfter } = this.input;
    if (setAfter === undefined) {
      this.got.estimated.push({ from: since, until: undefined, behind: undefined });
      return;
    }
    this.pieces.shift(since.piece, setAfter);
    this.got.estimated.push({ from: since, until: this.pieces.now(this.model.last), behind: setAfter });
  }

  /** The first record of all may be any: what came before is unknown, but its day's proof may tell of the whole day. */
  private startBlind(record: LogRecord): void {
    if (this.model.last >= 0) return;
    const begin = this.beginOf(record, this.confirmed);
    this.blindFrom = begin;
    this.takeUp(begin, this.confirmed);
    if (record.estimated) this.estimatedSince = this.pieces.now(begin);
    this.loseBefore(record, begin, this.dayEnd(record, begin));
  }

  /** Records before the very first one are missing: what they told may go on until `until`. */
  private loseBefore(record: LogRecord, begin: number, until: number): void {
    const records = record.sequence - FIRST_SEQUENCE;
    if (!this.input.lostBefore || records === 0) return;
    const { pieces, got } = this;
    got.lost.push({ from: pieces.now(begin), until: pieces.now(until), records, next: record.sequence });
  }

  /** Goes on at `at` in a new piece of time as if the table had run for long. */
  private takeUp(at: number, crc: number | undefined): void {
    this.pieces.begin(at);
    this.running = crc;
    this.model.schedule = crc === undefined ? undefined : this.schedule(crc);
    this.noteTable(at);
    this.model.onLevels = () => undefined;
    this.model.begin(at - WARM_UP);
    this.model.advance(at);
    this.model.onLevels = this.show;
    this.show(at, this.model.levels);
  }

  /** The controller starts afresh at `time` with a table, in a new piece of time. */
  private begin(time: number, crc: number | undefined): void {
    this.pieces.begin(time);
    this.running = crc;
    this.model.schedule = crc === undefined ? undefined : this.schedule(crc);
    this.noteTable(time);
    this.model.begin(time);
  }

  private boot(record: Of<'boot'>): void {
    const { time, cause, outageMinutes, resets } = record;
    const running = this.model.last >= 0;
    if (cause === BOOT_CAUSE.watchdog && resets > 0 && running) {
      // What was on trial is given up by a restart; the rest goes on.
      if (this.running !== this.confirmed) this.useTable(this.confirmed, time);
      this.model.restart(time);
      return;
    }
    const from = running ? this.goOff(time, outageMinutes) : undefined;
    this.got.faults.powerLost(from ?? this.pieces.now(this.model.last), time);
    this.blindFrom = undefined;
    if (this.foundNoTable(record)) this.confirmed = undefined;
    this.begin(time, this.confirmed);
    if (running) this.got.outages.push({ from, until: this.pieces.now(time), cause });
    else this.loseBefore(record, time, time);
    if (record.estimated) this.estimatedSince ??= this.pieces.now(time);
  }

  /** The controller said at this start that it has no table, whatever was thought to run. */
  private foundNoTable({ sequence, time }: Of<'boot'>): boolean {
    return this.input.records.some((one) => {
      if (one.type !== 'fault' || one.fault !== FAULT.noTable || one.entered === 0) return false;
      return one.sequence > sequence && one.time === time;
    });
  }

  /** The power went some time before a boot; gives when, if that is known. */
  private goOff(boot: number, minutes: number): Instant | undefined {
    if (minutes === OUTAGE_UNKNOWN) {
      this.push(this.model.last, this.model.levels, 'unknown');
      return undefined;
    }
    // The last-alive second is the only whole minute that lies so many minutes before.
    const alive = Math.floor((boot - 60 * minutes) / 60) * 60;
    const gone = Math.max(alive + HALF_MINUTE, this.model.last);
    this.model.advance(gone);
    this.push(gone, new Uint8Array(OUTPUTS), 'off');
    return this.pieces.now(gone);
  }

  private proof(record: Of<'proof'>, next: LogRecord | undefined): void {
    this.startBlind(record);
    const end = scheduleInstant(this.model.schedule, record.day + 1, 0);
    if (this.isBroken(record, next, end) || this.model.last >= end) {
      this.note(record, { from: this.model.last, until: this.model.last, result: 'unproved' });
      return;
    }
    this.model.advance(end - 1);
    const open = this.model.day;
    this.model.advance(end);
    const span = { from: open.from, until: end };
    const same = open.crc === record.crc && open.partial === record.partial;
    if (open.day !== record.day || this.stateNow() === 'unknown')
      this.note(record, { ...span, result: 'unproved' });
    else this.note(record, { ...span, result: same ? 'proved' : this.unlike(span) });
  }

  /** What a proof says that differs: nothing where records were lost that could tell why. */
  private unlike(span: { from: number; until: number }): DayProof['result'] {
    const { piece } = this.pieces.now(span.from);
    const isLost = this.got.lost.some(
      ({ from, until }) => until.piece === piece && from.at < span.until && until.at > span.from,
    );
    return isLost || span.from === this.blindFrom ? 'unproved' : 'unexplained';
  }

  /** Setting the clock closed the day before its end. */
  private isBroken(record: Of<'proof'>, next: LogRecord | undefined, end: number): boolean {
    const set = next?.type === 'clockSet' && next.sequence === record.sequence + 1 ? next : undefined;
    return set !== undefined && Math.abs(set.forward) > SMALL_STEP_SECONDS && set.time - set.forward < end;
  }

  private note(proof: Of<'proof'>, more: Pick<DayProof, 'from' | 'until' | 'result'>): void {
    this.got.proofs.push({ day: proof.day, proof, ...more, piece: this.pieces.count - 1 });
  }

  private clockSet(record: Of<'clockSet'>): void {
    const { time, forward, oldSub } = record;
    this.got.settings.push({ at: time, forward: forward - oldSub / 256 });
    const since = this.estimatedSince;
    const large = Math.abs(forward) > SMALL_STEP_SECONDS;
    if (this.model.last < 0) this.startBlind(record);
    else if (large) this.jump(time, forward, since);
    else {
      this.model.advance(time - forward);
      this.model.catchUp(time);
    }
    if (!since) return;
    this.got.estimated.push({ from: since, until: this.pieces.now(time), behind: forward });
    this.estimatedSince = undefined;
  }

  private jump(time: number, forward: number, since: Instant | undefined): void {
    this.model.advance(time - forward);
    // An estimated clock was wrong all along; one that was trusted leaves a hole in what is known.
    if (since) this.pieces.shift(since.piece, forward);
    else this.push(this.model.last, this.model.levels, 'unknown');
    this.pieces.begin(time);
    this.model.jump(time);
    this.push(time, this.model.levels, this.stateNow());
  }

  private fault(record: Of<'fault'>): void {
    const { fault, entered, detail, time } = record;
    this.startBlind(record);
    if (entered && fault === FAULT.clockStopped) this.doubtClock(time);
    if (entered) this.got.faults.enter(fault, time, detail);
    else this.got.faults.leave(fault, time, detail);
  }

  /** From now on the clock is estimated; what came before in this piece was not. */
  private doubtClock(time: number): void {
    if (this.estimatedSince) return;
    if (time > this.pieces.from) {
      this.model.advance(time);
      this.pieces.begin(time);
      this.push(time, this.model.levels, this.stateNow());
    }
    this.estimatedSince = this.pieces.now(time);
  }

  private overlay(record: Of<'hand'> | Of<'handEnd'> | Of<'workLight'>): void {
    const { time } = record;
    this.startBlind(record);
    if (record.type === 'handEnd' && record.why === HAND_END.ranOut) {
      // It ends before its second is worked on.
      this.model.advance(time - 1);
      this.model.endHand(record.outputs, time);
      this.hands.ranOut(record.outputs, time, this.pieces.count - 1);
    }
    this.model.advance(time);
    if (record.type === 'hand') this.hand(record);
    else if (record.type === 'workLight') {
      if (record.begins) this.model.beginWork();
      else this.model.endWork(time);
    } else if (record.why === HAND_END.released) {
      this.model.releaseHand(record.outputs);
      this.hands.stop(record.outputs, time);
    }
  }

  private hand(record: Of<'hand'>): void {
    const { outputs, level, minutes, staggered } = record;
    const told = endsTold(this.input.records, record);
    this.model.switchByHand(outputs, level, minutes, staggered === 1, told);
    this.hands.begin(record, told, this.pieces.count - 1);
  }

  private table(record: Of<'committed'> | Of<'confirmed'> | Of<'reverted'>): void {
    const { time, crc } = record;
    this.startBlind(record);
    if (record.type === 'reverted') {
      // By a restart it did not run any more; by itself it ends before its second is worked on.
      if (record.slot & BY_RESTART) return;
      this.model.advance(record.slot & BY_REQUEST ? time : time - 1);
      this.useTable(this.confirmed, time);
      return;
    }
    this.model.advance(time);
    if (record.type === 'confirmed') this.confirmed = crc;
    this.useTable(crc, time);
  }

  private useTable(crc: number | undefined, time: number): void {
    if (crc === this.running) return;
    this.running = crc;
    this.model.run(crc === undefined ? undefined : this.schedule(crc), time);
    this.noteTable(time);
    this.push(time, this.model.levels, this.stateNow());
  }

  private noteTable(time: number): void {
    const crc = this.running;
    if (crc === undefined || crc === UNKNOWN_TABLE || this.got.tables.at(-1)?.crc === crc) return;
    this.got.tables.push({ ...this.pieces.now(time), crc, schedule: this.schedule(crc) });
  }

  private schedule(crc: number): Schedule | undefined {
    if (!this.schedules.has(crc)) {
      const bytes = this.input.tables.get(crc);
      this.schedules.set(crc, bytes && openSchedule(bytes));
    }
    return this.schedules.get(crc);
  }

  /** All that was gathered, in true time. */
  story(): Story {
    const first = this.input.records[0]?.sequence ?? FIRST_SEQUENCE;
    return this.got.story({
      settled: this.settled,
      blindBefore: first > FIRST_SEQUENCE,
      until: this.pieces.now(this.model.last),
    });
  }
}

/**
 * One controller's log, replayed: what its outputs showed at every second, and
 * how far that is proved.
 *
 * Always holds: nothing is guessed; a day's proof is compared with the replay's
 * own trace of that day; where records were lost, the replay goes on as if
 * nothing had happened and says so, and the next proofs decide.
 */

import { Model } from '../../../firmware-sim/replay/model.ts';
import { firstInstant, OUTPUTS, openSchedule, type Schedule } from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import {
  BOOT_CAUSE,
  FAULT,
  FIRST_SEQUENCE,
  HAND_END,
  type LogRecord,
  OUTAGE_UNKNOWN,
} from '../../../shared/log.ts';
import { FaultSpans } from './fault-spans.ts';
import {
  type Change,
  type ClockSetting,
  type DayProof,
  type HandSpan,
  type Instant,
  type LostSpan,
  Pieces,
  type Story,
} from './story.ts';

/** What the replay needs beside the records. */
export interface ReplayInput {
  /** In order of sequence. */
  readonly records: readonly LogRecord[];
  /** Tables by CRC-32. */
  readonly tables: ReadonlyMap<number, Uint8Array>;
  /** CRC of the confirmed table at the first record, when known from before. */
  readonly before: number | undefined;
  readonly outputs: number;
  /** The controller's second up to which the log was read, when later than its last record. */
  readonly readUntil: number | undefined;
}

/** Settings of the clock beyond this break the day (behaviour.md, section 2). */
const LARGE_STEP = 120;
/** The power goes somewhere in the minute after the last-alive minute. */
const HALF_MINUTE = 30;
const BY_RESTART = 0x40;
const BY_REQUEST = 0x80;

/** Replays the records. */
export function replay(input: ReplayInput): Story {
  const replayer = new Replayer(input);
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
type Placed<T extends { readonly from: number; readonly until: number }> = T & { readonly piece: number };

class Replayer {
  private readonly input: ReplayInput;
  private readonly model: Model;
  private readonly pieces = new Pieces();
  private readonly schedules = new Map<number, Schedule | undefined>();
  private confirmed: number | undefined;
  private running: number | undefined;
  /** Where the model was started without knowing what came before; its first day proves nothing. */
  private blindFrom: number | undefined;
  /** Records were lost since the last day that was proved. */
  private doubtful = false;
  private estimatedSince: Instant | undefined;
  private readonly changes: (Omit<Change, 'at'> & Instant)[] = [];
  private readonly outages: { from: Instant | undefined; until: Instant; cause: number }[] = [];
  private readonly proofs: Placed<DayProof>[] = [];
  private readonly estimated: { from: Instant; until: Instant | undefined; behind: number | undefined }[] =
    [];
  private readonly hands: Placed<HandSpan>[] = [];
  private readonly settings: ClockSetting[] = [];
  private readonly tables: (Instant & { crc: number; schedule: Schedule | undefined })[] = [];
  private readonly lost: Placed<LostSpan>[] = [];
  private readonly faults = new FaultSpans(this.pieces);

  constructor(input: ReplayInput) {
    this.input = input;
    this.confirmed = input.before;
    this.model = new Model(input.outputs);
    this.model.onLevels = (at, levels) => this.push(at, levels, this.stateNow());
  }

  private stateNow(): Change['state'] {
    if (this.model.schedule) return 'run';
    return this.running === undefined ? 'none' : 'unknown';
  }

  private push(at: number, levels: Uint8Array, state: Change['state']): void {
    const known = state === 'unknown' ? undefined : Uint8Array.from(levels);
    this.changes.push({ ...this.pieces.now(at), levels: known, state });
  }

  /** Records missing between two: remembered, and settled by the next proofs. */
  noticeLoss(record: LogRecord, previous: LogRecord | undefined): void {
    const records = previous ? record.sequence - previous.sequence - 1 : 0;
    if (records <= 0 || this.model.last < 0) return;
    const from = this.model.last;
    const until = Math.max(from, timeOf(record, this.model.schedule));
    const { piece } = this.pieces.now(from);
    this.lost.push({ from, until, records, piece });
    this.doubtful = true;
  }

  take(record: LogRecord, next: LogRecord | undefined): void {
    const behind = record.type === 'clockSet' ? record.forward : 0;
    // A day's records may be written before its end, when the clock is set: only events tell the time.
    if ('time' in record) this.faults.settle(record.time - behind);
    this.faults.moveClock(behind);
    if (record.type === 'boot') this.boot(record);
    else if (record.type === 'proof') this.proof(record, next);
    else if (record.type === 'clockSet') this.clockSet(record);
    else if (record.type === 'fault') this.fault(record);
    else if (record.type === 'committed' || record.type === 'confirmed' || record.type === 'reverted')
      this.table(record);
    else if (record.type === 'hand' || record.type === 'handEnd' || record.type === 'workLight')
      this.overlay(record);
    else if (record.type !== 'light') this.startBlind(record.time);
  }

  /** The log goes on to where it was read. */
  finish(): void {
    const { readUntil } = this.input;
    if (readUntil !== undefined && this.model.last >= 0) this.model.advance(readUntil);
    if (this.estimatedSince)
      this.estimated.push({ from: this.estimatedSince, until: undefined, behind: undefined });
  }

  /** The first record of all may be any: of what came before nothing is known. */
  private startBlind(time: number): void {
    if (this.model.last >= 0) return;
    this.blindFrom = time;
    this.begin(time, this.confirmed);
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
    this.faults.powerLost(from ?? this.pieces.now(this.model.last), time);
    this.blindFrom = undefined;
    if (this.foundNoTable(record)) this.confirmed = undefined;
    this.begin(time, this.confirmed);
    if (running) this.outages.push({ from, until: this.pieces.now(time), cause });
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
    const end = firstInstant(this.model.schedule, record.day + 1, 0);
    if (this.model.last < 0) {
      this.startBlind(end);
      return;
    }
    if (this.isBroken(record, next, end) || this.model.last >= end) {
      this.note(record, { from: this.model.last, until: this.model.last, result: 'unproved' });
      return;
    }
    this.model.advance(end - 1);
    const open = this.model.day;
    this.model.advance(end);
    const span = { from: open.from, until: end };
    if (open.day !== record.day || open.from === this.blindFrom) {
      this.note(record, { ...span, result: 'unproved' });
    } else if (open.crc === record.crc && open.partial === record.partial) {
      this.doubtful = false;
      this.note(record, { ...span, result: 'proved' });
    } else {
      this.notProved(record, span);
    }
  }

  /** Setting the clock closed the day before its end. */
  private isBroken(record: Of<'proof'>, next: LogRecord | undefined, end: number): boolean {
    const set = next?.type === 'clockSet' && next.sequence === record.sequence + 1 ? next : undefined;
    return set !== undefined && Math.abs(set.forward) > LARGE_STEP && set.time - set.forward < end;
  }

  /** A proof that differs: explained where lost records can have changed the table, else not. */
  private notProved(record: Of<'proof'>, span: { from: number; until: number }): void {
    const other = this.doubtful && !record.partial ? this.tableThatProves(record) : undefined;
    if (other === undefined) {
      const inLoss = this.lost.some((one) => one.from < span.until && one.until > span.from);
      this.note(record, {
        ...span,
        result: inLoss || (this.doubtful && record.partial) ? 'unproved' : 'unexplained',
      });
      return;
    }
    this.confirmed = other;
    this.useTable(other, span.from);
    this.doubtful = false;
    this.note(record, { ...span, result: 'proved' });
  }

  /** The table, among those flashed, under which a day gives its proof. */
  private tableThatProves(record: Of<'proof'>): number | undefined {
    return [...this.input.tables.keys()].find((crc) => {
      const schedule = this.schedule(crc);
      if (!schedule || crc === this.running) return false;
      const trial = new Model(this.input.outputs);
      trial.schedule = schedule;
      trial.begin(firstInstant(schedule, record.day, 0));
      trial.advance(firstInstant(schedule, record.day + 1, 0) - 1);
      return trial.day.crc === record.crc;
    });
  }

  private note(proof: Of<'proof'>, more: Pick<DayProof, 'from' | 'until' | 'result'>): void {
    this.proofs.push({ day: proof.day, proof, ...more, piece: this.pieces.count - 1 });
  }

  private clockSet(record: Of<'clockSet'>): void {
    const { time, forward, oldSub } = record;
    this.settings.push({ at: time, forward: forward - oldSub / 256 });
    const since = this.estimatedSince;
    const large = Math.abs(forward) > LARGE_STEP;
    if (this.model.last < 0) this.startBlind(time);
    else if (large) this.jump(time, forward, since);
    else this.model.advance(Math.max(time, time - forward));
    if (!since) return;
    this.estimated.push({ from: since, until: this.pieces.now(time), behind: forward });
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
    this.startBlind(time);
    if (entered && fault === FAULT.clockStopped) this.doubtClock(time);
    if (entered) this.faults.enter(fault, time, detail);
    else this.faults.leave(fault, time, detail);
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
    this.startBlind(time);
    this.model.advance(time);
    if (record.type === 'hand') {
      const { outputs, level, minutes } = record;
      this.model.switchByHand(outputs, level, minutes, record.staggered === 1);
      this.endHands(time, outputs);
      this.hands.push({
        from: time,
        until: time + 60 * minutes,
        outputs,
        level,
        piece: this.pieces.count - 1,
      });
    } else if (record.type === 'workLight') {
      if (record.begins) this.model.beginWork();
      else this.model.endWork(time);
    } else if (record.why === HAND_END.released) {
      this.model.releaseHand(record.outputs);
      this.endHands(time, record.outputs);
    }
  }

  /** Hand switching of these outputs that still ran is over. */
  private endHands(at: number, outputs: number): void {
    for (const [i, hand] of this.hands.entries()) {
      if (hand.until > at && hand.outputs & outputs) this.hands[i] = { ...hand, until: at };
    }
  }

  private table(record: Of<'committed'> | Of<'confirmed'> | Of<'reverted'>): void {
    const { time, crc } = record;
    this.startBlind(time);
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
    this.model.run(crc === undefined ? undefined : this.schedule(crc));
    this.noteTable(time);
    this.push(time, this.model.levels, this.stateNow());
  }

  private noteTable(time: number): void {
    const crc = this.running;
    if (crc === undefined || this.tables.at(-1)?.crc === crc) return;
    this.tables.push({ ...this.pieces.now(time), crc, schedule: this.schedule(crc) });
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
    const { pieces } = this;
    const changes = inOrder(
      this.changes.map(({ levels, state, ...at }) => ({ at: pieces.true(at), levels, state })),
    );
    const moved = <T extends { from: number; until: number }>({ piece, ...one }: Placed<T>) => ({
      ...one,
      from: pieces.true({ at: one.from, piece }),
      until: pieces.true({ at: one.until, piece }),
    });
    const maybe = (instant: Instant | undefined) => instant && pieces.true(instant);
    return {
      changes,
      outages: this.outages.map((one) => ({ ...one, from: maybe(one.from), until: pieces.true(one.until) })),
      proofs: this.proofs.map(moved),
      estimated: this.estimated.map((one) => ({
        ...one,
        from: pieces.true(one.from),
        until: maybe(one.until),
      })),
      hands: this.hands.map(moved),
      settings: this.settings,
      tables: this.tables.map(({ crc, schedule, ...at }) => ({ at: pieces.true(at), crc, schedule })),
      lost: this.lost.map(moved),
      faults: this.faults.spans(),
      operations: operationsOf(changes),
      blindBefore: (this.input.records[0]?.sequence ?? FIRST_SEQUENCE) > FIRST_SEQUENCE,
      from: changes[0]?.at ?? 0,
      until: pieces.true(pieces.now(this.model.last)),
    };
  }
}

/** When a record was written: an event's time, the end of a day record's day. */
function timeOf(record: LogRecord, schedule: Schedule | undefined): number {
  return 'time' in record ? record.time : firstInstant(schedule, record.day + 1, 0);
}

/** Changes in order of true time; where the clock was set back, the later story counts. */
function inOrder(changes: readonly Change[]): Change[] {
  const kept: Change[] = [];
  for (const change of changes) {
    while (kept.length > 0 && sure(kept.at(-1)).at >= change.at) kept.pop();
    kept.push(change);
  }
  return kept;
}

function operationsOf(changes: readonly Change[]): number[] {
  const operations = new Array<number>(OUTPUTS).fill(0);
  let before: Uint8Array = new Uint8Array(OUTPUTS);
  for (const { levels } of changes) {
    if (!levels) continue;
    for (let i = 0; i < OUTPUTS; i++)
      if ((levels[i] === 0) !== (before[i] === 0)) operations[i] = itemAt(operations, i) + 1;
    before = levels;
  }
  return operations;
}

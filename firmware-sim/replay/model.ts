/**
 * What a controller must have done between two records of its log: table,
 * overlays, dwell, limits and waits carried forward second by second, leaping
 * where nothing can change.
 *
 * Always holds: nothing goes in but the tables and what the log says; time only
 * moves forward within a run; the trace's proof is kept as the controller keeps
 * it, so that the two can be compared.
 */

import { itemAt } from '../../shared/assert.ts';
import { START_WAIT_SECONDS, WORK_LIGHT_SECONDS } from '../../shared/behaviour.ts';
import { crc16 } from '../../shared/crc.ts';
import {
  nextChange,
  nextDaySecond,
  OUTPUTS,
  type Schedule,
  scheduleDayAt,
  scheduleInstant,
  targetsAt,
} from '../schedule.ts';

const FULL = 0xff;
const NEVER = Number.POSITIVE_INFINITY;

interface Overlay {
  begin: number;
  end: number;
  level: number;
}

/** The open day of the trace. */
export interface OpenDay {
  /** Civil day; -1: none. */
  readonly day: number;
  /** Second of the trace's first entry. */
  readonly from: number;
  readonly partial: boolean;
  readonly crc: number;
}

/** Told of every change of the levels that the pins show. */
export type OnLevels = (utc: number, levels: Uint8Array) => void;

/** The model of one controller. Outputs beyond `outputs` are never on. */
export class Model {
  /** Second last processed; -1 before the first. */
  last = -1;
  schedule: Schedule | undefined;
  onLevels: OnLevels = () => undefined;

  private readonly outputs: number;
  private hand: Overlay[] = noOverlays();
  private work: Overlay = { begin: 0, end: 0, level: FULL };
  private readonly level = new Uint8Array(OUTPUTS);
  private switchedAt = new Array<number>(OUTPUTS).fill(-NEVER);
  private onSince = new Array<number>(OUTPUTS).fill(NEVER);
  private held = 0;
  private waitFrom = -NEVER;
  private turnFrom = -NEVER;
  private shown: Uint8Array = new Uint8Array(OUTPUTS);
  private open: OpenDay = { day: -1, from: 0, partial: true, crc: 0xffff };
  private before: Uint8Array = new Uint8Array(OUTPUTS);
  private fresh = true;

  constructor(outputs: number) {
    this.outputs = outputs;
  }

  /** The open day as it stands. */
  get day(): OpenDay {
    return this.open;
  }

  /** What the pins show. */
  get levels(): Uint8Array {
    return this.shown;
  }

  /** Starts afresh at `t`, as after power-on. */
  begin(t: number): void {
    this.hand = noOverlays();
    this.work = { begin: 0, end: 0, level: FULL };
    this.level.fill(0);
    this.switchedAt.fill(-NEVER);
    this.onSince.fill(NEVER);
    this.held = 0;
    this.open = { day: -1, from: t, partial: true, crc: 0xffff };
    this.shown = new Uint8Array(OUTPUTS);
    this.waitFrom = t;
    this.turnFrom = t;
    this.last = t - 1;
    this.onLevels(t, this.shown);
    this.advance(t);
  }

  /** A restart that kept its memory: outputs wait, everything else goes on. */
  restart(t: number): void {
    this.waitFrom = Math.max(t, this.last);
    this.advance(t);
  }

  /** Processes the seconds up to and including `to`. */
  advance(to: number): void {
    while (this.last < to) {
      const next = Math.min(to, Math.max(this.last + 1, this.nextEdge()));
      this.process(next);
    }
  }

  /** Outputs of `which` (bit 0 the first) are switched by hand at the second last processed; those of `told` until `endHand`. */
  switchByHand(which: number, level: number, minutes: number, staggered: boolean, told: number): void {
    for (let index = 0; index < this.outputs; index++) {
      const bit = 1 << index;
      if ((which & bit) === 0) continue;
      const begin = this.last + (staggered ? index : 0);
      this.hand[index] = { begin, end: told & bit ? NEVER : begin + 60 * minutes, level };
    }
    this.react();
  }

  /** Hand switching of these outputs runs out at `t`, which is not processed yet. */
  endHand(which: number, t: number): void {
    this.hand.forEach((own, index) => {
      if (which & (1 << index) && own.end > t) own.end = t;
    });
  }

  /** All hand switching is let go of, output after output. */
  releaseHand(which: number): void {
    this.hand.forEach((own, index) => {
      if (which & (1 << index)) own.end = Math.min(own.end, this.last + index);
    });
    this.react();
  }

  /** The work light begins, or is lengthened. */
  beginWork(): void {
    const running = this.work.end > this.last;
    this.work = {
      begin: running ? this.work.begin : this.last,
      end: this.last + WORK_LIGHT_SECONDS,
      level: FULL,
    };
    this.react();
  }

  /** The work light ends at `t`. */
  endWork(t: number): void {
    this.work.end = Math.min(this.work.end, t);
    this.react();
  }

  /** Another table runs from `at` on, which may be yet to come; the outputs follow it one after another. */
  run(schedule: Schedule | undefined, at: number): void {
    this.schedule = schedule;
    this.turnFrom = at + 1;
    this.react();
  }

  /** The clock was set to `t`, a little ahead: the seconds up to it are processed at once, the outputs follow one after another. */
  catchUp(t: number): void {
    if (t - this.last > 1) this.turnFrom = t;
    this.advance(t);
  }

  /** The clock was set to `t`, far from where it was: the trace starts afresh, what runs moves along. */
  jump(t: number): void {
    const by = t - this.last;
    for (const own of [...this.hand, this.work]) {
      if (own.end === 0) continue;
      own.begin += by;
      own.end += by;
    }
    this.switchedAt = this.switchedAt.map((at) => at + by);
    this.onSince = this.onSince.map((at) => at + by);
    this.waitFrom += by;
    this.turnFrom = t;
    this.breakDay(t);
    this.last = t - 1;
    this.advance(t);
  }

  private breakDay(t: number): void {
    if (this.open.day < 0) return;
    const sameDay = scheduleDayAt(this.schedule, t) === this.open.day;
    this.open = { day: sameDay ? this.open.day : -1, from: t, partial: true, crc: 0xffff };
    this.fresh = true;
  }

  private process(t: number): void {
    this.last = t;
    this.turnDay(t);
    const asked = this.targets(t);
    this.trace(t, asked);
    this.switchOutputs(asked, t);
  }

  private react(): void {
    if (this.last >= 0) this.switchOutputs(this.targets(this.last), this.last);
  }

  private turnDay(t: number): void {
    const today = scheduleDayAt(this.schedule, t);
    if (this.open.day < 0) this.openDay(today, t, true);
    else if (today > this.open.day) this.openDay(today, t, t !== scheduleInstant(this.schedule, today, 0));
  }

  private openDay(day: number, from: number, partial: boolean): void {
    this.open = { day, from, partial, crc: 0xffff };
    this.before.fill(0);
    this.fresh = true;
  }

  private targets(t: number): Uint8Array {
    const asked = new Uint8Array(OUTPUTS);
    if (this.schedule) targetsAt(this.schedule, t, asked);
    const workOutputs = this.schedule ? this.schedule.outputs : (1 << this.outputs) - 1;
    for (let index = 0; index < OUTPUTS; index++) {
      const own = itemAt(this.hand, index);
      const lit = t >= this.work.begin + index && t < this.work.end + index && workOutputs & (1 << index);
      if (index >= this.outputs) asked[index] = 0;
      else if (t >= own.begin && t < own.end) asked[index] = own.level;
      else if (lit) asked[index] = FULL;
    }
    return asked;
  }

  private trace(t: number, asked: Uint8Array): void {
    if (!this.fresh && asked.every((level, index) => level === this.before[index])) return;
    const entry = new Uint8Array(4 + OUTPUTS);
    new DataView(entry.buffer).setUint32(0, t, true);
    entry.set(asked, 4);
    this.open = { ...this.open, crc: crc16(entry, this.open.crc) };
    this.before = asked;
    this.fresh = false;
  }

  private switchOutputs(asked: Uint8Array, t: number): void {
    for (let index = 0; index < OUTPUTS; index++) this.switchOne(index, itemAt(asked, index), t);
    const shown = this.level.map((level, index) =>
      t < this.waitFrom + START_WAIT_SECONDS + index ? 0 : level,
    );
    if (shown.every((level, index) => level === this.shown[index])) return;
    this.shown = shown;
    this.onLevels(t, shown);
  }

  private switchOne(index: number, target: number, t: number): void {
    const bit = 1 << index;
    const on = this.level[index] !== 0;
    const limit = 60 * (this.schedule?.table.limits?.longestOnMinutes ?? 0);
    if (target === 0) this.held &= ~bit;
    else if (limit > 0 && on && t - itemAt(this.onSince, index) >= limit) this.held |= bit;
    const held = (this.held & bit) !== 0;
    const wanted = held ? 0 : target;
    if (this.level[index] === wanted || t < this.turnFrom + index) return;
    const dwell = this.schedule?.table.limits?.dwellSeconds ?? 0;
    if (t - itemAt(this.switchedAt, index) < dwell && !(held && on)) return;
    this.level[index] = wanted;
    if (on === (wanted !== 0)) return;
    this.switchedAt[index] = t;
    this.onSince[index] = wanted === 0 ? NEVER : t;
  }

  /** The next second at which anything can change. */
  private nextEdge(): number {
    if (this.last < this.waitFrom + START_WAIT_SECONDS + OUTPUTS || !this.isSettled()) return this.last + 1;
    let next = nextDaySecond(this.schedule, this.last);
    if (this.schedule) next = Math.min(next, nextChange(this.schedule, this.last));
    return Math.min(next, this.nextOverlayEdge(), this.nextLimit());
  }

  /** The outputs show what is asked, and the trace has it (an event may have changed it since). */
  private isSettled(): boolean {
    const asked = this.targets(this.last);
    return asked.every((target, index) => {
      const wanted = this.held & (1 << index) ? 0 : target;
      return wanted === this.level[index] && target === this.before[index];
    });
  }

  private nextOverlayEdge(): number {
    const edges = this.hand.flatMap((own, index) => [
      ...(own.end > 0 ? [own.begin, own.end] : []),
      this.work.begin + index,
      this.work.end + index,
    ]);
    return Math.min(NEVER, ...edges.filter((edge) => edge > this.last));
  }

  private nextLimit(): number {
    const limit = 60 * (this.schedule?.table.limits?.longestOnMinutes ?? 0);
    if (limit === 0) return NEVER;
    return Math.min(...this.onSince.map((at, index) => (this.level[index] ? at + limit : NEVER)));
  }
}

function noOverlays(): Overlay[] {
  return Array.from({ length: OUTPUTS }, () => ({ begin: 0, end: 0, level: 0 }));
}

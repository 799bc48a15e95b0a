/**
 * A controller whose program is the C core, built for the host, in the same
 * small world as the simulated controller.
 *
 * Always holds: time moves only in `run`; the core's memory survives a restart
 * that keeps power, as the chip's does.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Board } from '../../shared/board.ts';
import { toHex } from '../../shared/hex.ts';
import { PAGE_BYTES } from '../../shared/log.ts';
import { FRAME_SILENCE_MICROS, OWN_PAUSE_MICROS, SILENCE } from '../../shared/registers.ts';
import { CLOCK } from '../clock-registers.ts';
import type { DeviceImage, Micros } from '../device.ts';
import type { SimulatedDevice } from '../simulated-device.ts';
import { clockSecondAt, microsOfSecond } from '../world/battery-clock.ts';
import { benchWorld, ProgramBench, type SimulatedDeviceOptions } from '../world/bench.ts';
import { longPressAt } from '../world/button.ts';
import { writePage } from '../world/log-memory.ts';
import { enqueue, forgetQueue, settle, writeEnd } from '../world/memory.ts';
import { logSilent, readProbe, readSupply } from '../world/surroundings.ts';
import type { World } from '../world/world.ts';
import { type Core, type CoreHal, loadCore, PRESS, TICK } from './core.ts';

/** A controller with the core in `wasm` as its program, the power on. */
export function makeCoreDevice(wasm: Uint8Array, options: SimulatedDeviceOptions): SimulatedDevice {
  const device = new CoreDevice(wasm, options.board, benchWorld(options, undefined));
  device.setPower(true);
  return device;
}

class CoreDevice extends ProgramBench implements SimulatedDevice {
  private readonly core: Core;
  private readonly shown = new Uint8Array(8);
  /** The clock's second that the last tick, or the last silent second, stood for. */
  private ticked = 0;
  private missing = 0;
  private readonly ticks: number[] = [];
  private press: number = PRESS.none;
  private light = 0;
  private sound = 0;

  constructor(wasm: Uint8Array, board: Board, world: World) {
    super(board, world);
    this.core = loadCore(wasm, this.hal());
    this.core.forget();
  }

  private hal(): CoreHal {
    const { world, board } = this;
    const { around, eeprom, log } = world;
    return {
      outputs: board.outputs.length,
      boardNumber: board.number,
      boardId: board.id,
      eepromRead: (at) => itemAt(eeprom.intended, at),
      eepromWrite: (at, value) => enqueue(eeprom, at, [value], world.now),
      eepromBusy: () => eeprom.queue.length > 0,
      idle: () => forgetQueue(eeprom),
      clockRead: (register, count) => this.readClock()?.subarray(register, register + count),
      clockWrite: (register, bytes) => this.setClock(register, bytes),
      logRead: (at, count) => this.readLog()?.subarray(at, at + count),
      logWrite: (at, bytes) => {
        if (logSilent(around)) return false;
        writePage(log, at / PAGE_BYTES, bytes, world.now);
        return true;
      },
      busHeld: () => around.troubles['bus held'] === true,
      tickTake: () => this.ticks.shift() ?? TICK.none,
      subSecond: () => this.sinceTick(256),
      pressTake: () => {
        const taken = this.press;
        this.press = PRESS.none;
        return taken;
      },
      output: (output, level) => {
        this.shown[output] = level;
      },
      signals: (light, sound) => {
        this.light = light;
        this.sound = sound;
      },
      probe: () => readProbe(around),
      supply: () => readSupply(around, this.board),
      supplyNeeded: this.board.supply.neededMillivolts,
      bootCause: () => world.startCause,
      send: (byte) => this.send([byte]),
    };
  }

  private setClock(register: number, bytes: Uint8Array): boolean {
    const answered = this.writeClock(register, bytes);
    // Its second begins afresh: the next tick comes a second from now.
    if (answered && register === CLOCK.time) {
      this.ticked = clockSecondAt(this.world.clock, this.world.now);
      this.ticks.length = 0;
    }
    return answered;
  }

  get signals(): { readonly indicator: boolean; readonly buzzer: boolean } {
    if (!this.running) return { indicator: false, buzzer: false };
    const quarter = this.sinceTick(4);
    return { indicator: ((this.light >> quarter) & 1) === 1, buzzer: ((this.sound >> quarter) & 1) === 1 };
  }

  run(until: Micros): void {
    for (let at = this.nextEvent(); at <= until; at = this.nextEvent()) {
      this.world.now = Math.max(this.world.now, at);
      this.handle();
    }
    this.world.now = Math.max(this.world.now, until);
  }

  private nextEvent(): Micros {
    const { world } = this;
    const line = Math.min(this.nextArrival, writeEnd(world.log));
    if (!this.running) return Math.min(line, this.nextStart);
    return Math.min(
      line,
      microsOfSecond(world.clock, this.ticked + 1),
      writeEnd(world.eeprom),
      longPressAt(world.button),
    );
  }

  private handle(): void {
    const { world } = this;
    settle(world.eeprom, world.now);
    settle(world.log, world.now);
    if (this.nextStart <= world.now) this.start();
    if (this.running) this.takeTicks();
    for (const byte of this.arrivals(world.now)) this.hear(byte);
    if (!this.running) return;
    if (longPressAt(world.button) <= world.now) {
      world.button.spent = true;
      this.press = PRESS.long;
    }
    this.poll();
  }

  private takeTicks(): void {
    const { world } = this;
    const second = clockSecondAt(world.clock, world.now);
    for (; this.ticked < second; this.ticked++) {
      if (world.around.troubles['tick silent'] !== true) {
        this.missing = 0;
        this.ticks.push(TICK.edge);
      } else if (++this.missing >= 2) {
        this.ticks.push(TICK.silent);
      }
    }
  }

  private hear(byte: number): void {
    if (!this.running) return;
    const { world } = this;
    const silent = world.now - world.heardAt;
    const { none, frame, long } = SILENCE;
    this.core.receive(
      byte,
      silent >= OWN_PAUSE_MICROS ? long : silent >= FRAME_SILENCE_MICROS ? frame : none,
    );
    world.heardAt = world.now;
  }

  private poll(): void {
    do this.core.poll();
    while (this.ticks.length > 0 && this.world.eeprom.queue.length === 0);
    if (this.core.busy && this.world.eeprom.queue.length === 0) this.core.poll();
    this.show(this.shown);
  }

  private start(): void {
    const { world } = this;
    world.startAt = undefined;
    this.ticks.length = 0;
    this.missing = 0;
    this.press = PRESS.none;
    this.shown.fill(0);
    this.ticked = clockSecondAt(world.clock, world.now);
    this.core.start();
    this.poll();
  }

  protected powerWent(): void {
    this.core.forget();
  }

  protected shortPress(): void {
    this.press = PRESS.short;
    this.poll();
  }

  override save(): DeviceImage {
    const { kind, version, data } = super.save();
    return { kind: `${kind}-core`, version, data: { ...data, memory: toHex(this.core.memory()) } };
  }
}

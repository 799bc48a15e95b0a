/**
 * The simulated controller in its world: virtual time, the line, power, and
 * the controller's program run at the right microseconds.
 *
 * Always holds: time moves only in `run`; the same calls give the same bytes
 * and levels.
 */

import type { Board } from '../shared/board.ts';
import type { Hardware } from './controller/hardware.ts';
import { silenceMicros, takeByte, takeSilence } from './controller/modbus.ts';
import { beginWorkLight, endWorkLight, isWorkLight } from './controller/overlays.ts';
import { finishRequest, takeFrame } from './controller/requests.ts';
import { nextBusySecond, passTime, react } from './controller/second.ts';
import { signalsAt } from './controller/signals.ts';
import { startController } from './controller/start.ts';
import { freshRetained, freshState, type Retained, type SimulatedController } from './controller/state.ts';
import { reloadTable } from './controller/tables.ts';
import { answerPress } from './controller/visits.ts';
import type { Device, Micros } from './device.ts';
import { clockSecondAt, microsOfSecond } from './world/battery-clock.ts';
import { benchWorld, ProgramBench, type SimulatedDeviceOptions } from './world/bench.ts';
import { longPressAt } from './world/button.ts';
import { writeByte } from './world/eeprom.ts';
import { writePage } from './world/log-memory.ts';
import { settle, writeEnd } from './world/memory.ts';
import { readProbe, readSupply } from './world/surroundings.ts';
import type { World } from './world/world.ts';

/** A device that can also be restarted for any reason, and looked into by tests. */
export interface SimulatedDevice extends Device {
  /** Restarts the chip with the power on: `external` or `watchdog`. */
  reset(cause: 'external' | 'watchdog'): void;
  /** EEPROM and log memory as they physically are; without power a test may change them. */
  readonly memories: { readonly eeprom: Uint8Array; readonly log: Uint8Array };
}

/** A simulated controller with the power on. Throws a RangeError when the image does not fit. */
export function makeSimulatedDevice(options: SimulatedDeviceOptions): SimulatedDevice {
  const { board, image } = options;
  const device = new Simulated(board, benchWorld(options, image));
  if (!image) device.setPower(true);
  return device;
}

class Simulated extends ProgramBench implements SimulatedDevice {
  private readonly controller: SimulatedController;

  constructor(board: Board, world: World) {
    super(board, world);
    this.controller = {
      board: {
        id: board.id,
        number: board.number,
        outputs: board.outputs.length,
        supplyNeeded: board.supply.neededMillivolts,
      },
      hardware: this.hardware(),
      state: world.state ?? freshState(freshRetained()),
      schedule: undefined,
      occurrences: [],
    };
    if (world.state) reloadTable(this.controller);
  }

  private hardware(): Hardware {
    const { world } = this;
    const { around, clock, eeprom, log } = world;
    return {
      tick: () => clockSecondAt(clock, world.now),
      subSecond: () => this.sinceTick(256),
      get tickSilent() {
        return around.troubles['tick silent'] === true;
      },
      get busHeld() {
        return around.troubles['bus held'] === true;
      },
      readClock: () => this.readClock(),
      writeClock: (at, bytes) => this.writeClock(at, bytes),
      eeprom: eeprom.intended,
      writeEeprom: (at, value) => writeByte(eeprom, at, value, world.now),
      readLog: () => this.readLog(),
      writeLogPage: (page, bytes) => writePage(log, page, bytes, world.now),
      probe: () => readProbe(around),
      supply: () => readSupply(around, this.board),
      show: (levels) => this.show(levels),
    };
  }

  get signals(): { readonly indicator: boolean; readonly buzzer: boolean } {
    if (!this.running) return { indicator: false, buzzer: false };
    const { hardware, state } = this.controller;
    return signalsAt(this.controller, hardware.tick() + state.skew, hardware.subSecond() >> 6);
  }

  run(until: Micros): void {
    for (let at = this.nextEvent(); at <= until; at = this.nextEvent()) {
      this.world.now = Math.max(this.world.now, at);
      this.handle();
    }
    this.world.now = Math.max(this.world.now, until);
    this.handle();
  }

  /** When something must happen next; may lie in the past. */
  private nextEvent(): Micros {
    const { world, controller } = this;
    const memories = Math.min(writeEnd(world.eeprom), writeEnd(world.log));
    if (!this.running) return Math.min(memories, this.nextArrival, this.nextStart);
    const { state } = controller;
    const busy = nextBusySecond(controller) - state.skew;
    return Math.min(
      memories,
      this.nextArrival,
      Number.isFinite(busy) ? microsOfSecond(world.clock, busy) : busy,
      state.arriving.length > 0 ? this.silentAt : Number.POSITIVE_INFINITY,
      this.isWorkDone() ? world.now : Number.POSITIVE_INFINITY,
      longPressAt(world.button),
    );
  }

  /** Does all that is due at `now`. */
  private handle(): void {
    const { world, controller } = this;
    settle(world.eeprom, world.now);
    settle(world.log, world.now);
    if (this.nextStart <= world.now) this.start();
    if (this.running) passTime(controller, controller.hardware.tick() + controller.state.skew);
    for (const byte of this.arrivals(world.now)) this.hear(byte);
    if (!this.running) return;
    const { arriving } = controller.state;
    if (arriving.length > 0 && this.silentAt <= world.now) takeSilence(arriving);
    if (this.isWorkDone()) this.send(finishRequest(controller));
    if (longPressAt(world.button) <= world.now) this.longPress();
  }

  /** When the line will have been silent for long enough that a frame begins. */
  private get silentAt(): Micros {
    const { arriving, unit } = this.controller.state;
    return this.world.heardAt + silenceMicros(arriving, unit);
  }

  private isWorkDone(): boolean {
    return this.controller.state.working !== undefined && this.world.eeprom.queue.length === 0;
  }

  private hear(byte: number): void {
    const { state } = this.controller;
    if (!this.running || state.working) return;
    this.world.heardAt = this.world.now;
    this.perform(takeByte(state.arriving, byte));
  }

  private perform(bytes: readonly number[] | undefined): void {
    const answer = bytes && takeFrame(this.controller, bytes);
    if (answer) this.send(answer);
  }

  private start(): void {
    const { world, controller } = this;
    const retained: Retained | undefined = world.state?.retained;
    world.startAt = undefined;
    startController(controller, world.startCause, retained);
    world.state = controller.state;
  }

  protected powerWent(): void {
    this.world.state = undefined;
  }

  protected shortPress(): void {
    answerPress(this.controller);
    react(this.controller);
  }

  private longPress(): void {
    const { controller, world } = this;
    world.button.spent = true;
    if (isWorkLight(controller.state)) endWorkLight(controller);
    else beginWorkLight(controller);
    react(controller);
  }
}

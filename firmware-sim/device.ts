/**
 * A controller in its small world, as the host and the tests see it: the
 * simulated controller and the emulated chip are both such devices.
 *
 * Always holds: time is virtual and moves only when `run` is called; the same
 * calls give the same bytes and levels.
 */

import type { UtcSeconds } from '../shared/units.ts';

/** Virtual microseconds since the device's world began. */
export type Micros = number;

export interface Device {
  /** Now, in virtual microseconds since the world began. */
  readonly micros: Micros;
  /** True UTC at `micros` (the battery clock may differ by its drift). */
  readonly utc: UtcSeconds;

  /** Lets virtual time pass up to `until`. */
  run(until: Micros): void;

  /** Bytes from the host; they arrive one after another from now on at the line's speed. */
  receive(bytes: Uint8Array): void;
  /** Bytes the controller has sent since the last call. */
  takeSent(): Uint8Array;
  /** The host opens its serial port: most such boards restart (external reset). */
  openPort(): void;

  /** Cuts or restores the mains (the battery clock goes on). */
  setPower(on: boolean): void;
  readonly powered: boolean;
  /** Holds or lets go of the button. */
  setButton(down: boolean): void;
  /** The probe's temperature in 1/16 °C; undefined: no probe answers. */
  setProbe(sixteenths: number | undefined): void;
  /** Faults of the world, for tests: a battery clock whose battery died while off, a stuck bus, a silent tick. */
  setTrouble(trouble: Trouble, on: boolean): void;

  /** What the eight outputs show now, 0–255, output 1 first (all 0 without power). */
  readonly levels: Uint8Array;
  /** Called at each second in which a level changed: true UTC and all eight levels. */
  onLevels: ((utc: UtcSeconds, levels: Uint8Array) => void) | undefined;
  /** Indicator and buzzer as they are now. */
  readonly signals: { readonly indicator: boolean; readonly buzzer: boolean };
  /** Switchings of each output since the world began. */
  readonly operations: Uint32Array;

  /** Everything that persists, as JSON-ready data; restored by the maker of the device. */
  save(): DeviceImage;
}

export type Trouble =
  | 'clock stopped'
  | 'clock silent'
  | 'tick silent'
  | 'bus held'
  | 'log silent'
  | 'probe silent'
  | 'supply low';

/** JSON-ready snapshot of a device and its world; `kind` tells which maker can restore it. */
export interface DeviceImage {
  readonly kind: string;
  readonly version: number;
  readonly data: Readonly<Record<string, unknown>>;
}

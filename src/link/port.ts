/**
 * A port as the link needs it: a binding with something at its far end, and
 * the pace at which time passes there.
 */

import type { BindingInterface } from '@serialport/bindings-cpp';
import type { Pace } from './pace.ts';

export interface Port {
  /** As the grower named it. */
  readonly path: string;
  readonly baudRate: number;
  readonly binding: BindingInterface;
  readonly pace: Pace;
  /** True when the controller is inside this program. */
  readonly virtual: boolean;
  /** Remarks for the grower when the work is done, such as events that were not reached. */
  readonly remarks: () => readonly string[];
  /** Ends the use of the port: a virtual controller is saved. */
  finish(): void;
}

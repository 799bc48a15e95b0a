/**
 * `board.json`: what a controller board is, as the compiler, the simulated
 * controller and the firmware's generated header read it.
 *
 * Always holds: outputs are numbered from 1 in file order; at most 8 outputs.
 */

import * as z from 'zod';

const output = z.strictObject({
  /** Arduino-style pin name, such as `D4` or `A0`. */
  pin: z.string().regex(/^([AD])\d{1,2}$/),
  /** `relay` switches on and off; `dim` has 17 levels by PWM; `mosfet` switches low voltage without contacts. */
  kind: z.enum(['relay', 'dim', 'mosfet']),
  /** `low`: the output is on when its pin is low. */
  active: z.enum(['low', 'high']),
});

export const boardSchema = z.strictObject({
  id: z.string(),
  title: z.string(),
  /** Number the controller reports over the link. */
  number: z.int().min(1).max(65535),
  chip: z.literal('atmega328p'),
  clockHz: z.int(),
  outputs: z.array(output).min(1).max(8),
  pins: z.strictObject({
    tick: z.string(),
    buzzer: z.string(),
    probe: z.string(),
    indicator: z.string(),
    button: z.string(),
    direction: z.string(),
  }),
  limits: z.strictObject({
    /** Shortest time between two switchings of one output, seconds. */
    dwellSeconds: z.int().min(0).max(3600),
    /** Shortest block of light the compiler plans, minutes. */
    blockMinutes: z.int().min(1).max(240),
    /** Most each output may carry, amperes. */
    outputAmperes: z.number().positive(),
    /** Switchings a contact is good for at rated load; absent for outputs without contacts. */
    contactOperations: z.int().positive().optional(),
    /** Current of one energised coil, amperes; absent without coils. */
    coilAmperes: z.number().positive().optional(),
  }),
  supply: z.strictObject({
    /** At a lower measured supply nothing is written to the chip's EEPROM, millivolts. */
    neededMillivolts: z.int().min(1_800).max(5_500),
  }),
  memory: z.strictObject({
    /** Most bytes of one schedule table. */
    tableBytes: z.int(),
    /** Records the run log keeps before it wraps. */
    logRecords: z.int(),
  }),
  link: z.strictObject({
    baud: z.int(),
    /** Registers of one table upload block. */
    uploadRegisters: z.int().min(1).max(16),
  }),
});

/** A board, validated. */
export type Board = z.infer<typeof boardSchema>;

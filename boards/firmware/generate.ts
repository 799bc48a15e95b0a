/**
 * Writes the firmware's generated headers from the TypeScript contracts and
 * each board's `board.json`: `npm run generate`.
 *
 * Always holds: the C code takes every number of a format from these headers;
 * a test regenerates them and compares byte for byte.
 */

import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import * as behaviour from '../../shared/behaviour.ts';
import { type Board, boardSchema } from '../../shared/board.ts';
import { dimChannel, portBit } from '../../shared/chips/atmega328p.ts';
import * as log from '../../shared/log.ts';
import * as registers from '../../shared/registers.ts';
import * as storage from '../../shared/storage.ts';
import * as table from '../../shared/table.ts';

const FIRMWARE = dirname(fileURLToPath(import.meta.url));
const BOARDS = dirname(FIRMWARE);

/** A generated file: its path and its text. */
export interface Generated {
  readonly path: string;
  readonly text: string;
}

/** All generated files, from the contracts as they are now. */
export function generateFiles(): Generated[] {
  const folder = join(FIRMWARE, 'generated');
  const boards = readdirSync(BOARDS, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && entry.name !== 'firmware')
    .map((entry) => entry.name)
    .sort();
  return [
    { path: join(folder, 'contract.h'), text: contractHeader() },
    ...boards.map((id) => ({ path: join(folder, `${id}.h`), text: boardHeader(readBoard(id)) })),
  ];
}

function readBoard(id: string): Board {
  return boardSchema.parse(JSON.parse(readFileSync(join(BOARDS, id, 'board.json'), 'utf8')));
}

const macroName = (name: string): string => name.replace(/([a-z])([A-Z0-9])/g, '$1_$2').toUpperCase();

function prefixed(prefix: string, name: string): string {
  const macro = macroName(name);
  return macro.startsWith(prefix) ? macro : prefix + macro;
}

function literal(value: number): string {
  return value > 9 ? `0x${value.toString(16).toUpperCase()}u` : `${value}u`;
}

/** Every number, and every object of numbers, that a contract module exports. */
function definitions(prefix: string, module: Readonly<Record<string, unknown>>): string[] {
  const lines: string[] = [];
  for (const [name, value] of Object.entries(module)) {
    if (typeof value === 'number' && value >= 0) lines.push(define(prefixed(prefix, name), value));
    else if (typeof value === 'object' && value !== null && !Array.isArray(value)) {
      for (const [key, inner] of Object.entries(value)) {
        if (typeof inner === 'number') {
          lines.push(
            define(
              `${prefixed(prefix, name === 'SETTINGS' ? 'SETTINGS_AT' : name)}_${macroName(key)}`,
              inner,
            ),
          );
        }
      }
    }
  }
  return lines.sort();
}

const define = (name: string, value: number): string => `#define ${name} ${literal(value)}`;

function header(guard: string, source: string, lines: readonly string[]): string {
  return [
    `/* Generated from ${source} by generate.ts: do not edit. */`,
    `#ifndef ${guard}`,
    `#define ${guard}`,
    '',
    ...lines,
    '',
    '#endif',
    '',
  ].join('\n');
}

function contractHeader(): string {
  const visits = table.VISIT_KINDS.map((kind, index) => define(`VISIT_KIND_${macroName(kind)}`, index));
  return header('CONTRACT_H', 'shared/table.ts, log.ts, registers.ts, storage.ts, behaviour.ts', [
    ...definitions('TABLE_', table as Readonly<Record<string, unknown>>),
    ...visits,
    '',
    ...definitions('LOG_', log as Readonly<Record<string, unknown>>),
    '',
    ...definitions('MAP_', registers as Readonly<Record<string, unknown>>),
    `#define MAP_FIRMWARE_REVISION "${registers.FIRMWARE_REVISION}"`,
    '',
    ...definitions('STORE_', storage as Readonly<Record<string, unknown>>),
    '',
    ...definitions('LAW_', behaviour as Readonly<Record<string, unknown>>),
  ]);
}

/** The compare channel of a pin that dims, as the C code names it (`1A`). */
function channelOf(pin: string): string {
  const dims = dimChannel(pin);
  if (dims === undefined) throw new Error(`pin ${pin} has no compare channel: it cannot dim`);
  return `${dims.timer}${dims.channel}`;
}

function boardHeader(board: Board): string {
  const dims = board.outputs.filter((output) => output.kind === 'dim').map((output) => channelOf(output.pin));
  const timer = (number: string): number => (dims.some((channel) => channel.startsWith(number)) ? 1 : 0);
  const outputs = board.outputs.map((output, index) => {
    const { port, bit } = portBit(output.pin);
    const use = output.kind === 'dim' ? `DIM_${channelOf(output.pin)}` : 'SWITCH';
    return `  X(${index}, ${port}, ${bit}, ${use}, ${output.active === 'low' ? 0 : 1})`;
  });
  const pins = Object.entries(board.pins).flatMap(([name, pin]) => {
    const { port, bit } = portBit(pin);
    const macro = `PIN_${macroName(name)}`;
    return [
      `#define ${macro}_PORT PORT${port}`,
      `#define ${macro}_DDR DDR${port}`,
      `#define ${macro}_PIN PIN${port}`,
      `#define ${macro}_BIT ${bit}`,
    ];
  });
  return header('BOARD_H', `boards/${board.id}/board.json`, [
    `#define BOARD_ID "${board.id}"`,
    define('BOARD_NUMBER', board.number),
    define('BOARD_OUTPUTS', board.outputs.length),
    `#define BOARD_CLOCK_HZ ${board.clockHz}ul`,
    `#define BOARD_BAUD ${board.link.baud}ul`,
    define('BOARD_SUPPLY_NEEDED', board.supply.neededMillivolts),
    define('BOARD_DIM_TIMER_0', timer('0')),
    define('BOARD_DIM_TIMER_1', timer('1')),
    define('BOARD_DIM_TIMER_2', timer('2')),
    '',
    '/* X(index, port, bit, how, level that is on) */',
    '#define BOARD_EACH_OUTPUT(X) \\',
    outputs.join(' \\\n'),
    '',
    ...pins,
  ]);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { path, text } of generateFiles()) writeFileSync(path, text);
}

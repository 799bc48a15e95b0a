/**
 * Each board's drawing and pin table are made from its `board.json`.
 * UPDATE_PICTURES=1 writes them anew.
 */

import { readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { wireTable, wiringDrawing } from '../../boards/wiring-drawing.ts';
import { BOARDS } from '../support/boards.ts';

const file = (id: string, name: string): URL => new URL(`../../boards/${id}/${name}`, import.meta.url);
const MARKS = /(<!-- pins -->\n)[\s\S]*?(\n<!-- \/pins -->)/;

describe.each(Object.values(BOARDS))('$id', (board) => {
  it('has its wiring drawn as its data says', () => {
    const drawing = wiringDrawing(board);
    if (process.env.UPDATE_PICTURES) writeFileSync(file(board.id, 'wiring.svg'), drawing);
    expect(readFileSync(file(board.id, 'wiring.svg'), 'utf8')).toBe(drawing);
  });

  it('lists its pins as its data says', () => {
    const readme = readFileSync(file(board.id, 'README.md'), 'utf8');
    const current = readme.replace(MARKS, `$1${wireTable(board)}$2`);
    if (process.env.UPDATE_PICTURES) writeFileSync(file(board.id, 'README.md'), current);
    expect(current).toMatch(MARKS);
    expect(readFileSync(file(board.id, 'README.md'), 'utf8')).toBe(current);
  });

  it('never puts an output on the serial pins, nor a relay where a bootloader blinks', () => {
    const { outputs, pins } = board;
    const used = [...outputs.map(({ pin }) => pin), ...Object.values(pins), 'A4', 'A5'];
    expect(new Set(used).size).toBe(used.length);
    expect(used).not.toContain('D0');
    expect(used).not.toContain('D1');
    expect(outputs.filter(({ kind }) => kind === 'relay').map(({ pin }) => pin)).not.toContain('D13');
  });
});

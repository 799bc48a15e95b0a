/**
 * The README's pictures are what the program draws today.
 * UPDATE_PICTURES=1 writes them anew.
 */

import { readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { sure } from '../../../shared/assert.ts';
import { rackDrawing } from '../../../src/page/rack-drawing.ts';
import { weeksDrawing } from '../../../src/page/weeks-drawing.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

const { plan, timeline } = compilePlan(samplePlan('pantry'), { boards: BOARDS });

const PICTURES = {
  'pantry-rack.svg': () => rackDrawing(sure(plan)),
  'pantry-weeks.svg': () => weeksDrawing(sure(plan), sure(timeline).demands, sure(timeline).visits),
} as const;

describe('the pictures of the README', () => {
  it.each(Object.entries(PICTURES))('%s is current', (name, draw) => {
    const file = new URL(`../../../src/page/pictures/${name}`, import.meta.url);
    const text = `${draw().text}\n`;
    if (process.env.UPDATE_PICTURES) writeFileSync(file, text);
    expect(readFileSync(file, 'utf8')).toBe(text);
  });
});

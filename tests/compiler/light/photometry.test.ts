/**
 * LM-63 files of our own making: read, refused at the line, and true to the closed forms.
 */

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { lightField } from '../../../compiler/light/field.ts';
import { intensityAt, readPhotometry } from '../../../compiler/light/photometry.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { plan, shelf, strip, zone } from './rack.ts';

/** A Lambertian lamp of 1000 lm, every 2.5° from straight ahead to square off. */
const VERTICAL = Array.from({ length: 37 }, (_, i) => 2.5 * i);
const LAMBERT = VERTICAL.map((angle) => ((1000 / Math.PI) * Math.cos((angle * Math.PI) / 180)).toFixed(3));

interface Parts {
  readonly first?: string;
  readonly tilt?: string;
  readonly head?: string;
  readonly horizontal?: string;
  readonly candela?: readonly string[];
  readonly vertical?: readonly (number | string)[];
}

function file({
  first = 'IESNA:LM-63-2002',
  tilt = 'TILT=NONE',
  head = `1 1000 1 ${VERTICAL.length} 1 1 2 0.02 0.4 0`,
  horizontal = '0',
  candela = LAMBERT,
  vertical = VERTICAL,
}: Parts = {}): string {
  return [
    first,
    '[TEST] of our own making',
    '[MANUFAC] none',
    tilt,
    head,
    '1 1 10',
    vertical.join(' '),
    horizontal,
    candela.join(' '),
    '',
  ].join('\r\n');
}

describe('reading', () => {
  it('a Lambertian file of 1000 lm integrates to 1000', () => {
    const { photometry } = readPhotometry(file());
    expect(sure(photometry).lumens).toBeGreaterThan(999);
    expect(sure(photometry).lumens).toBeLessThan(1001);
  });
  it('so does the file beside this test', () => {
    const text = readFileSync(new URL('flat-1000lm.ies', import.meta.url), 'utf8');
    expect(sure(readPhotometry(text).photometry).lumens / 1000).toBeCloseTo(1, 2);
  });
  it('applies multipliers and lets numbers run over lines', () => {
    const split = file({ head: `1 1000 0.5 ${VERTICAL.length} 1 1 2 0.02 0.4 0` }).replaceAll(' ', '\n ');
    const whole = split
      .replace('[TEST]\n of\n our\n own\n making', '[TEST]')
      .replace('[MANUFAC]\n none', '[MANUFAC]');
    expect(sure(readPhotometry(whole).photometry).lumens / 500).toBeCloseTo(1, 2);
  });
  it.each([
    ['0 90', [0, 90, 180, 270], [1, 2, 1, 2]],
    ['0 90 180', [0, 90, 180, 270], [1, 2, 3, 2]],
    ['0 90 180 270 360', [0, 90, 180, 270], [1, 2, 3, 4]],
    ['0', [0, 90, 180, 270], [1, 1, 1, 1]],
  ])('horizontal angles %s follow their symmetry', (horizontal, at, factors) => {
    const planes = horizontal.split(' ').length;
    const scale = [1, 2, 3, 4, 1];
    const candela = Array.from({ length: planes }, (_, n) => [10 * itemAt(scale, n), 5 * itemAt(scale, n), 0])
      .flat()
      .map(String);
    const text = file({ head: `1 1 1 3 ${planes} 1 2 0 0 0`, vertical: [0, 45, 90], horizontal, candela });
    const { photometry } = readPhotometry(text);
    at.forEach((angle, n) => {
      expect(intensityAt(sure(photometry), 45, angle)).toBeCloseTo(5 * itemAt(factors, n), 9);
    });
    expect(intensityAt(sure(photometry), 22.5, 0)).toBeCloseTo(7.5, 9);
    expect(intensityAt(sure(photometry), 120, 0)).toBe(0);
  });
});

describe('bad files are refused at the line', () => {
  it.each<[string, Parts | string, number, string]>([
    ['no header', { first: 'Lamp data' }, 1, 'not-lm63'],
    ['nothing at all', '', 1, 'not-lm63'],
    ['tilt to be read from elsewhere', { tilt: 'TILT=INCLUDE' }, 4, 'tilt'],
    ['no tilt line', { tilt: '[MORE] words' }, 10, 'tilt'],
    ['type B', { head: `1 1000 1 ${VERTICAL.length} 1 2 2 0 0 0` }, 5, 'type'],
    ['half an angle', { head: '1 1000 1 2.5 1 1 2 0 0 0' }, 5, 'count'],
    ['a word among numbers', { horizontal: 'zero' }, 8, 'not-a-number'],
    ['falling angles', { vertical: [...VERTICAL].reverse() }, 7, 'vertical-angles'],
    ['a quarter and a bit', { horizontal: '100' }, 8, 'horizontal-angles'],
    ['too few intensities', { candela: LAMBERT.slice(1) }, 9, 'cut-short'],
    ['too many', { candela: [...LAMBERT, '7'] }, 9, 'too-much'],
    ['light below zero', { candela: ['-1', ...LAMBERT.slice(1)] }, 9, 'candela'],
    ['no light', { candela: LAMBERT.map(() => '0') }, 9, 'no-light'],
  ])('%s', (_, parts, line, fault) => {
    const text = typeof parts === 'string' ? parts : file(parts);
    expect(readPhotometry(text).fault).toEqual({ line, fault });
  });
});

describe('in the field', () => {
  const made = (photometry: string | undefined) =>
    plan({
      shelves: [shelf('s', 0, 600, 450, 520)],
      zones: [zone('A', 0, [200, 400], [165, 285], 1, 1)],
      lamps: [strip('l', 0, 1, [10, 20, 330], [10, 430, 330], [1, 0, 0], 500, { photometry })],
    });
  it('a Lambertian file gives a strip what the closed form gives', () => {
    const closed = itemAt(itemAt(sure(lightField(made(undefined)).zone([0], 0)).outputs, 0).means, 0);
    const field = lightField(made('strip.ies'), { photometry: { 'strip.ies': file() } });
    const read = itemAt(itemAt(sure(field.zone([0], 0)).outputs, 0).means, 0);
    const most = Math.max(...closed);
    closed.forEach((value, i) => {
      expect(Math.abs(itemAt(read, i) - value) / most).toBeLessThan(0.003);
    });
  });
  it('a file that shines only near its axis gives more there', () => {
    const narrow = file({ candela: VERTICAL.map((angle) => (angle < 30 ? '1000' : '0')) });
    const field = lightField(made('n.ies'), { photometry: { 'n.ies': narrow } });
    const peak = itemAt(sure(field.zone([0], 0)).outputs, 0).peak;
    expect(peak).toBeGreaterThan(itemAt(sure(lightField(made(undefined)).zone([0], 0)).outputs, 0).peak);
  });
});

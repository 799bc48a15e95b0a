/**
 * Units against the exact conversion factors of NIST SP 811 (2008), appendix
 * B.8, and the international yard and pound agreement of 1959: 1 in = 25.4 mm,
 * 1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 oz = 28.349523125 g, 1 footcandle =
 * 10.76391 lx, 1 lb/ft3 = 16.01846 kg/m3, t/°C = (t/°F − 32)/1.8 (from memory
 * of the tables; the factors follow from the first three).
 */

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { QuantityKind } from '../../../compiler/findings/facts.ts';
import { parseTime, parseWeekday } from '../../../compiler/read/moment.ts';
import { parseQuantity, unitsOf } from '../../../compiler/read/quantity.ts';

function value(text: string, kind: QuantityKind): number {
  const result = parseQuantity(text, kind);
  if ('fault' in result) throw new Error(`${text}: ${result.fault}`);
  return result.value;
}

describe('exact factors', () => {
  test.each<[string, QuantityKind, number]>([
    ['1 in', 'length', 25.4],
    ['1 ft', 'length', 304.8],
    ['36 in', 'length', 914.4],
    ['36"', 'length', 914.4],
    ['4\' 2"', 'length', 1270],
    ['36″', 'length', 914.4],
    ['2.5 cm', 'length', 25],
    ['1.2 m', 'length', 1200],
    ['1 lb', 'mass', 0.45359237],
    ['1 oz', 'mass', 0.028349523125],
    ['2200 g', 'mass', 2.2],
    ['100 lm/ft', 'fluxPerLength', 328.083989501],
    ['0.65 kg/L', 'density', 0.65],
    ['650 kg/m3', 'density', 0.65],
    ['-40 F', 'temperature', -40],
    ['32 F', 'temperature', 0],
    ['212 F', 'temperature', 100],
    ['21 C', 'temperature', 21],
    ['2 wk', 'time', 20160],
    ['70 %', 'share', 0.7],
    ['45 deg', 'angle', 45],
    ['500 mA', 'current', 0.5],
    ['1 L', 'volume', 1],
  ])('%s', (text, kind, expected) => {
    expect(value(text, kind)).toBeCloseTo(expected, 8);
  });

  test('rounded in the tables', () => {
    expect(value('1 fc', 'illuminance')).toBeCloseTo(10.76391, 5);
    expect(value('1 lb/ft3', 'density')).toBeCloseTo(0.01601846, 8);
  });
});

describe('ways of writing', () => {
  test.each<[string, QuantityKind, number]>([
    ['12 1/2 in', 'length', 317.5],
    ['1/2 in', 'length', 12.7],
    ['4 ft 2 in', 'length', 1270],
    ['4ft2in', 'length', 1270],
    ['4 ft 2 1/2 in', 'length', 1282.7],
    ['5 lb 4 oz', 'mass', 2.38135994],
    ['1 h 30 min', 'time', 90],
    ['36in', 'length', 914.4],
    ['36 inches', 'length', 914.4],
    ['350 LM', 'flux', 350],
    ['75 °F', 'temperature', 23.888888889],
    ['-10 mm', 'length', -10],
    ['2.5 mm/day', 'growth', 2.5],
    ['20 bags', 'bags', 20],
  ])('%s', (text, kind, expected) => {
    expect(value(text, kind)).toBeCloseTo(expected, 8);
  });

  test.each<[string, QuantityKind, string]>([
    ['36', 'length', 'unit missing'],
    ['4 ft 2', 'length', 'unit missing'],
    ['36 inn', 'length', 'unit unknown'],
    ['36 lb', 'length', 'wrong kind'],
    ['four ft', 'length', 'unreadable'],
    ['2,5 kg', 'mass', 'unreadable'],
    ['', 'mass', 'unreadable'],
    ['1 / 2 in', 'length', 'unit missing'],
    ['70 F 2 F', 'temperature', 'unreadable'],
    ['9 oz 8 oz', 'mass', 'unreadable'],
    ['2 in 3 inches', 'length', 'unreadable'],
    ['1 constructor', 'length', 'unit unknown'],
    ['1/0 in', 'length', 'unreadable'],
  ])('%s is %s: %s', (text, kind, fault) => {
    expect(parseQuantity(text, kind)).toMatchObject({ fault });
  });

  test('a comma is put right', () => {
    expect(parseQuantity('2,5 kg', 'mass')).toMatchObject({ comma: '2.5 kg' });
    expect(parseQuantity('1,200 mm', 'length')).toMatchObject({ comma: '1200 mm' });
  });

  test('any number with any unit of a kind is that number times one unit', () => {
    const kinds: QuantityKind[] = ['length', 'mass', 'flux', 'illuminance', 'time', 'density'];
    fc.assert(
      fc.property(
        fc.constantFrom(...kinds),
        fc.nat(9999),
        fc.nat(99),
        fc.nat(20),
        (kind, whole, part, pick) => {
          const units = unitsOf(kind);
          const unit = units[pick % units.length] ?? '';
          const written = `${whole}.${String(part).padStart(2, '0')}`;
          const one = value(`1000000 ${unit}`, kind) / 1e6;
          expect(value(`${written} ${unit}`, kind)).toBeCloseTo(Number(written) * one, 5);
        },
      ),
      { numRuns: 300, seed: 1 },
    );
  });
});

describe('times of day', () => {
  test.each<[string, number | undefined]>([
    ['08:00', 480],
    ['8:00', 480],
    ['6 pm', 1080],
    ['6:30 am', 390],
    ['6pm', 1080],
    ['12 am', 0],
    ['12 pm', 720],
    ['12:30 a.m.', 30],
    ['23:59', 1439],
    ['24:00', 1440],
    ['24:01', undefined],
    ['25:00', undefined],
    ['8', undefined],
    ['13 pm', undefined],
    ['0 am', undefined],
    ['8:60', undefined],
    ['08:00:00', undefined],
    ['', undefined],
  ])('%s', (text, expected) => {
    expect(parseTime(text)).toBe(expected);
  });

  test('weekdays', () => {
    expect(['Mon', 'tue', 'Wednesday', 'thurs', 'Sun', 'Su', 'Xyz'].map(parseWeekday)).toEqual([
      0,
      1,
      2,
      3,
      6,
      undefined,
      undefined,
    ]);
  });
});

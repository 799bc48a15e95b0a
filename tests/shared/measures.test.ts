/**
 * Measures in words. Factors: NIST Handbook 44, appendix C (inch 25.4 mm and pound
 * 453.59237 g exactly; liquid quart 946.353 mL; ounce 28.349523125 g) and NIST SP 811,
 * appendix B.8 (°F = 1.8 · °C + 32; lb/ft³ to kg/m³ 16.01846).
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseQuantity } from '../../compiler/read/quantity.ts';
import {
  carryWords,
  harvestWords,
  inUnits,
  massWords,
  meanHarvestWords,
  roughSize,
  sizeWords,
  temperature,
  temperatureBand,
  temperatureInBoth,
  unitsSpoken,
} from '../../shared/measures.ts';

const readBack = (text: string, kind: 'length' | 'mass' | 'temperature'): number => {
  const read = parseQuantity(text, kind);
  if ('fault' in read) throw new Error(`${text}: ${read.fault}`);
  return read.value;
};

describe('measures in words', () => {
  it('agree with the tables of NIST Handbook 44', () => {
    // Appendix C: 1 foot = 304.8 mm; 1 yard = 914.4 mm.
    expect(sizeWords(304.8, 'us')).toBe('12 in');
    expect(sizeWords(914.4, 'us')).toBe('36 in');
    // 1 kilogram = 2.205 pounds = 2 lb 3.27 oz; 100 kg = 220.5 lb; 1 ounce = 28.350 g.
    expect(massWords(1, 'us')).toBe('2 lb 3.25 oz');
    expect(carryWords(100, 'us')).toBe('220 lb');
    expect(harvestWords(85.048569, 'us')).toBe('3 oz');
    // As it was weighed, not to the quarter ounce: 0.85 oz is 24.097 g; 18.5 oz is 1 lb 2.5 oz.
    expect(harvestWords(24.097, 'us')).toBe('0.85 oz');
    expect(harvestWords(18.5 * 28.349523125, 'us')).toBe('1 lb 2.5 oz');
    expect(meanHarvestWords(24.4, 'us')).toBe('0.85 oz');
    expect(meanHarvestWords(85.4, 'metric')).toBe('85 g');
    // SP 811, B.8: 100 °C = 212 °F, −40 is −40, 21 °C = 69.8 °F.
    expect([100, -40, 21].map((celsius) => temperature(celsius, 'us'))).toEqual([
      '212 °F',
      '-40 °F',
      '70 °F',
    ]);
    // 1 lb/ft³ = 16.01846 kg/m³: 0.65 kg/L = 40.58 lb/ft³.
    expect(inUnits('0.65 kg/L', 'us')).toBe('41 lb/ft3');
  });

  it('are rounded as a rule or a scale shows them, and read back within that', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 4000, noNaN: true }), (mm) => {
        expect(Math.abs(readBack(sizeWords(mm, 'us'), 'length') - mm)).toBeLessThanOrEqual(25.4 / 16 + 1e-6);
        expect(readBack(sizeWords(mm, 'us', 'up'), 'length')).toBeGreaterThan(mm - 1e-4);
        expect(readBack(sizeWords(mm, 'us', 'down'), 'length')).toBeLessThan(mm + 1e-4);
        expect(Math.abs(readBack(roughSize(mm, 'us'), 'length') - mm)).toBeLessThanOrEqual(25.4 / 4 + 1e-6);
        const kg = mm / 100;
        expect(Math.abs(readBack(massWords(kg, 'us'), 'mass') - kg)).toBeLessThanOrEqual(
          0.02834952 / 8 + 1e-6,
        );
      }),
    );
  });

  it('never let what is needed and what there is read alike', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 2000, noNaN: true }),
        fc.double({ min: 0.01, max: 5, noNaN: true }),
        (room, more) => {
          for (const units of ['metric', 'us'] as const)
            expect(sizeWords(room + more, units, 'up')).not.toBe(sizeWords(room, units, 'down'));
        },
      ),
    );
  });

  it('say both where no plan says which', () => {
    expect(temperatureInBoth(21.5)).toBe('21.5 °C (71 °F)');
    expect(temperatureBand({ low: 18, high: 27 }, 'us')).toBe('64–81 °F');
    expect(temperature(-0.2, 'metric')).toBe('0 °C');
  });

  it('put examples and limits into the units of the plan', () => {
    expect(inUnits('{ size: [36 in, 14 in], clear: 20 in }', 'metric')).toBe(
      '{ size: [910 mm, 360 mm], clear: 510 mm }',
    );
    expect(inUnits('[60 mm, 560 mm]', 'us')).toBe('[2 1/4 in, 22 in]');
    expect(inUnits('20 m', 'us', true)).toBe('65 ft');
    expect(inUnits('--mass "85 g"', 'us')).toBe('--mass "3 oz"');
    expect(inUnits('350 lm', 'us')).toBe('350 lm');
    expect(inUnits('7 d', 'us')).toBe('7 d');
    expect(unitsSpoken(['mm', 'cm', 'm', 'in', 'ft'], 'us')).toEqual(['in', 'ft']);
    expect(unitsSpoken(['mm', 'cm', 'm', 'in', 'ft'], 'metric')).toEqual(['mm', 'cm', 'm']);
  });
});

import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import { massWords, sizeWords, type Units, waterVolume } from '../../../../shared/measures.ts';
import { massAtMoisture, waterToAdd } from '../../../../src/answers/prep/moisture.ts';
import { sheetPage } from '../../../../src/answers/prep/page.ts';
import { type BagSheet, bagSheet } from '../../../../src/answers/prep/sheet.ts';
import { benchNotes, sheetText, sheetWords, weighingRows } from '../../../../src/answers/prep/text.ts';
import { planWithBag } from './plan.ts';

const LB = 0.45359237;

function sheetOf(bag: string, more = '', units: Units = 'us'): BagSheet {
  const plan = planWithBag(bag, more);
  return bagSheet(plan, itemAt(plan.batches, 0), units);
}

describe('the dry-mass balance', () => {
  it('gives the published example: 1,000 kg from 25 % to 14 % weighs 872 kg', () => {
    // IRRI Rice Knowledge Bank, "How to determine milled weight at another moisture content".
    expect(massAtMoisture(1000, 0.25, 0.14)).toBeCloseTo(872.09, 2);
  });

  it('adds 12.5 kg of water to 10 kg at 10 % to reach 60 %', () => {
    // Derived: mass · (target − current) / (100 − target) = 10 · 50 / 40.
    expect(waterToAdd(10, 0.1, 0.6)).toBeCloseTo(12.5, 9);
  });
});

describe('the common-practice mix', () => {
  // Common practice, no source: 60 : 40 sawdust to hull by dry mass at 60 % moisture; a ten-pound
  // bag filled two pounds lighter to grow in.
  const sheet = sheetOf(
    '{ footprint: [8 in, 5 in], height: 24 in, fill: 8 lb, mix: { parts: { sawdust: 60 %, hull: 40 % }, moisture: 60 %, spawn: 5 % } }',
  );

  it('bone dry is 60 : 40 with one and a half times its mass of water', () => {
    expect(sheet.dryKg).toBeCloseTo(3.2 * LB, 9);
    expect(sheet.parts.map((part) => part.dryKg / LB)).toEqual([
      expect.closeTo(1.92, 9),
      expect.closeTo(1.28, 9),
    ]);
    expect(sheet.spawnKg).toBeCloseTo(0.4 * LB, 9);
    expect(sheet.bags).toBe(3);
  });

  it('in a US kitchen: 5 lb at 62 %, sawdust at 40 % and hulls at 12 % of their own moisture', () => {
    // By hand: dry 80 oz · 0.38 = 30.4 oz; 18.24 / 0.60 = 30.40; 12.16 / 0.88 = 13.82; 80 − 44.22 = 35.78; 5 % spawn 4.00.
    const kitchen = sheetOf(
      '{ footprint: [8 in, 5 in], height: 16 in, fill: 5 lb, mix: { parts: { sawdust: { share: 60 %, moisture: 40 % }, hull: { share: 40 %, moisture: 12 % } }, moisture: 62 %, spawn: 5 % } }',
    );
    const ounces = [...kitchen.parts.map((part) => part.weighKg), kitchen.waterKg, kitchen.spawnKg ?? 0].map(
      (kg) => ((kg / LB) * 16).toFixed(2),
    );
    expect(ounces).toEqual(['30.40', '13.82', '35.78', '4.00']);
  });

  it('mixes the extra share on top for all bags, and leaves one bag alone', () => {
    const rows = (extra: number): string[] =>
      weighingRows({ ...sheet, extra }, 'us').map(([, one, all]) => `${one}, ${all}`);
    expect(rows(0).at(-2)).toBe('8 lb, 24 lb');
    expect(rows(0.25).at(-2)).toBe('8 lb, 30 lb');
  });

  it('parts as weighed and water give the wet mass', () => {
    const weighed = sheet.parts.reduce((sum, part) => sum + part.weighKg, 0);
    expect(weighed + sheet.waterKg).toBeCloseTo(8 * LB, 9);
  });
});

describe('the water', () => {
  const mix = (moisture: string): string =>
    `{ footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.5 kg, mix: { parts: { sawdust: { share: 60 %, moisture: 10 % }, hull: { share: 40 %, moisture: 12 % } }, moisture: ${moisture} } }`;

  it("takes the parts' own moisture into account", () => {
    const sheet = sheetOf(mix('60 %'));
    // By hand: dry 1.0 kg; 0.6/0.9 + 0.4/0.88 = 0.666667 + 0.454545; water 2.5 − 1.121212.
    expect(sheet.parts.map((part) => part.weighKg)).toEqual([
      expect.closeTo(0.666667, 6),
      expect.closeTo(0.454545, 6),
    ]);
    expect(sheet.waterKg).toBeCloseTo(1.378788, 6);
  });

  it('is refused where the parts are too wet already', () => {
    const wet = sheetOf(
      '{ footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.5 kg, mix: { parts: { sawdust: { share: 100 %, moisture: 70 % } }, moisture: 60 % } }',
    );
    expect(wet.waterKg).toBeLessThan(0);
    expect(wet.remarks[0]).toMatchObject({
      kind: 'wrong',
      text: expect.stringContaining('more than the 5 lb 8.25 oz of wet mix'),
    });
    expect(sheetText(sheetWords(wet, 'metric'))).not.toContain('−');
  });
});

describe('the block', () => {
  it('of 2.5 kg at 0.65 kg/L in a 203 × 127 mm bag stands about 149 mm high', () => {
    // Derived figure that goes with the bag's published size.
    const sheet = sheetOf(
      '{ footprint: [203 mm, 127 mm], height: 483 mm, fill: 2.5 kg, density: 0.65 kg/L }',
    );
    expect(sheet.blockMm).toBeCloseTo(149.2, 1);
    expect(sheet.headspaceMm).toBeCloseTo(483 - 149.2, 1);
  });
});

describe('remarks', () => {
  const texts = (sheet: BagSheet): string =>
    sheet.remarks.map((remark) => `${remark.kind}: ${remark.text}`).join('\n');
  const bag = (moisture: string): string =>
    `{ footprint: [203 mm, 127 mm], height: 483 mm, fill: 2.5 kg, mix: { parts: { sawdust: 60 %, hull: 40 % }, moisture: ${moisture} } }`;

  it('agree with the common practice and differ from what is not', () => {
    expect(texts(sheetOf(bag('62 %')))).toContain('fits: 62 % moisture');
    expect(texts(sheetOf(bag('75 %')))).toContain('look: 75 % moisture is unusual');
    const early = 'visits: { harvest: { from: 60 d, until: 100 d } }';
    expect(texts(sheetOf(bag('60 %'), early))).toContain('hardly ready before twelve weeks');
    const warm = 'room: { keep: [24 C, 28 C] }';
    expect(texts(sheetOf(bag('60 %'), warm))).toContain('kept at 75–82 °F: 70 °F is');
    expect(texts(sheetOf(bag('60 %'), warm, 'metric'))).toContain('kept at 24–28 °C: 21 °C is');
    expect(texts(sheetOf(bag('60 %')))).not.toContain('°F');
  });

  it('say so when no mix is named', () => {
    const sheet = sheetOf('{ footprint: [203 mm, 127 mm], height: 483 mm, fill: 2.5 kg }');
    expect(sheet.parts).toEqual([]);
    expect(sheet.waterKg).toBeCloseTo(1.5, 9);
    expect(texts(sheet)).toContain('names no mix');
  });

  it('say how much of the height is free, against the block', () => {
    // 149.2 mm of block in 483 mm: 333.8 mm free, 69 % and 2.2 times; 298.5 mm in 483: 38 % and 0.6 times.
    expect(texts(sheetOf(bag('60 %')))).toContain("fits: 69 % of the bag's height is free, 2.2 times");
    const full = bag('60 %').replace('2.5 kg', '5 kg');
    expect(texts(sheetOf(full))).toContain("look: 38 % of the bag's height is free, 0.6 times");
  });
});

describe('the likely reach', () => {
  it('is the assumed growth from the second lit stage to the first harvest day', () => {
    // The built-in climb begins 42 days after sealing; 98 − 42 = 56 days at 1, 2.5 and 5 mm a day.
    const sheet = sheetOf('{ footprint: [203 mm, 127 mm], height: 483 mm, fill: 2.5 kg }');
    expect(sheet.reachMm).toEqual({ low: 56, mid: 140, high: 280 });
    expect(sheetText(sheetWords(sheet, 'us'))).toContain('5 1/2 in high (2 in to 11 in; an estimate');
  });
});

describe('words', () => {
  it('are what a kitchen scale shows', () => {
    expect(massWords(1.3788, 'metric')).toBe('1.38 kg');
    expect(massWords(0.4545, 'metric')).toBe('455 g');
    expect(massWords(8 * LB, 'us')).toBe('8 lb');
    expect(massWords(1.92 * LB, 'us')).toBe('1 lb 14.75 oz');
    expect(massWords(-0.1, 'metric')).toBe('−100 g');
    expect(waterVolume(0.946353, 'us')).toBe('1.00 qt');
    expect(sizeWords(149.2, 'us')).toBe('5 7/8 in');
  });

  it('the page is whole and escapes what the grower wrote', () => {
    const sheet = sheetOf('{ footprint: [203 mm, 127 mm], height: 483 mm, fill: 2.5 kg }');
    const text = sheetPage(
      '<rack> & co',
      [{ words: sheetWords(sheet, 'us'), steps: [], figures: {}, kept: undefined }],
      'us',
    );
    expect(text).toContain('Bag sheet: &#60;rack&#62; &#38; co');
    expect(text).not.toMatch(/<script|https?:|<link/);
    for (const note of benchNotes('us')) expect(text).toContain(note.replaceAll("'", '&#39;').slice(0, 60));
  });
});

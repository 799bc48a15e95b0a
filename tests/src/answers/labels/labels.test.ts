import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { bagLabels } from '../../../../src/answers/labels/labels.ts';
import { labelsPage } from '../../../../src/answers/labels/page.ts';
import { labelSheet, placeOfLabel, SHEET_NAMES } from '../../../../src/answers/labels/sheets.ts';
import { qrDrawing } from '../../../../src/page/qr-drawing.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';
import { readCode } from './read-code.ts';

const plan = planOf(sampleText('pantry').replace('bag: tall, regime', 'bag: tall, lot: L-7, regime'));

describe('the code on a label', () => {
  it('says the plain name, whatever it is called', () => {
    expect(readCode(qrDrawing('spring-07').text)).toBe('spring-07');
    expect(readCode(qrDrawing('Æbler-07').text)).toBe('Æbler-07');
    const name = fc.stringMatching(/^[\p{L}\d][\p{L}\d_ -]{0,30}-\d{2,4}$/u);
    fc.assert(
      fc.property(name, (text) => {
        expect(readCode(qrDrawing(text).text)).toBe(text);
      }),
      { numRuns: 40, seed: 3 },
    );
  });
});

describe('labels', () => {
  it('come shelf by shelf, with sealing day and lot', () => {
    const labels = bagLabels(plan, bagLives(plan, []), day('2026-04-01'));
    expect(labels.map(({ name, shelf }) => `${shelf} ${name}`)).toEqual([
      'upper early-01',
      'upper early-02',
      'upper late-01',
      'upper late-02',
      'lower early-03',
      'lower early-04',
      'lower late-03',
      'lower late-04',
    ]);
    expect(labels[0]?.lines).toEqual(['sealed 2026-02-16', 'lot L-7']);
    const text = labelsPage('rack', labels, labelSheet('a4-21', 'a4'), 20);
    expect(text.match(/class="sheet"/g)).toHaveLength(2);
    const codes = [...text.matchAll(/<svg class="qr".*?<\/svg>/g)].map(([svg]) => readCode(svg));
    expect(codes).toEqual(labels.map(({ name }) => name));
  });

  it('have the mix too on a sheet of thirty, beside lot and strain', () => {
    const mixed = planOf(
      sampleText('smallest')
        .replace('sealed: 2026-02-16', 'sealed: 2026-02-16, lot: W, strain: porch one')
        .replace('fill: 5 lb', 'fill: 5 lb, mix: { parts: { sawdust: 60 %, hulls: 40 % }, spawn: 5 % }'),
    );
    const labels = bagLabels(mixed, bagLives(mixed, []), day('2026-04-01'));
    const text = labelsPage('rack', labels, labelSheet('letter-30', 'letter'), 0);
    for (const said of ['sealed 2026-02-16', 'lot W, porch one', 'sawdust 60 %, hulls 40 %'])
      expect(text).toContain(`>${said}<`);
  });

  it('lie whole on their sheet and not on each other, on every sheet', () => {
    const custom = ['1x1', '2x5', '3x8', '4x10'];
    for (const name of [...SHEET_NAMES, ...custom]) {
      for (const paper of ['a4', 'letter'] as const) {
        const sheet = labelSheet(name, paper);
        const count = sheet.across * sheet.down;
        const all = Array.from({ length: count }, (_, i) => placeOfLabel(sheet, i));
        const last = itemAt(all, count - 1);
        expect(last.x + sheet.label[0], name).toBeLessThanOrEqual(sheet.paper[0] + 1e-9);
        expect(last.y + sheet.label[1], name).toBeLessThanOrEqual(sheet.paper[1] + 1e-9);
        expect(sheet.step[0], name).toBeGreaterThanOrEqual(sheet.label[0]);
        expect(sheet.step[1], name).toBeGreaterThanOrEqual(sheet.label[1]);
        expect(placeOfLabel(sheet, count)).toEqual({ ...itemAt(all, 0), sheet: 1 });
      }
    }
    expect(() => labelSheet('9x40', 'a4')).toThrow('too small');
    expect(() => labelSheet('many', 'a4')).toThrow('no sheet');
  });
});

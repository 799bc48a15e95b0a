/** Labels as Chromium prints them: each sheet a page, nothing cut, every code read back from the pixels. */

import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { bagLabels } from '../../../../src/answers/labels/labels.ts';
import { labelsPage } from '../../../../src/answers/labels/page.ts';
import { labelSheet } from '../../../../src/answers/labels/sheets.ts';
import { describePrinted } from '../../../support/printed.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';
import { decode } from './read-code.ts';

const long = 'a long name that somebody gave to a batch in the third week of spring';
const text = sampleText('pantry')
  .replace('early:', 'sealed-2026-02-16-of-the-second-mix:')
  .replace('late: ', 'Æbler: ')
  .replace('bag: tall, regime', `bag: tall, lot: "${long}", strain: "W & <M>", regime`)
  .replace('fill: 2.2 kg', 'fill: 2.2 kg\n    mix: { parts: { sawdust: 60 %, hull: 40 % } }');
const plan = planOf(text);
const labels = bagLabels(plan, bagLives(plan, []), day('2026-04-01'));

describePrinted('labels in a browser', (show) => {
  it.each([
    ['a4-21', 20, 2],
    ['a4-65', 0, 1],
    ['letter-30', 0, 1],
    ['1x3', 0, 3],
  ] as const)('print on %s with nothing cut', async (name, skip, sheets) => {
    const page = await show(labelsPage('rack', labels, labelSheet(name, 'a4'), skip));
    const cut = await page.evaluate(() =>
      [...document.querySelectorAll('.label')].flatMap((label) => {
        const outer = label.getBoundingClientRect();
        const sheet = label.parentElement?.getBoundingClientRect() ?? outer;
        const inside = (a: DOMRect, b: DOMRect): boolean =>
          a.left >= b.left - 1 && a.top >= b.top - 1 && a.right <= b.right + 1 && a.bottom <= b.bottom + 1;
        const parts = [...label.querySelectorAll('.code, .words div')];
        const over = parts.filter((part) => !inside(part.getBoundingClientRect(), outer));
        const wide = parts.filter((part) => part.scrollWidth > part.clientWidth + 1);
        return [...(inside(outer, sheet) ? [] : [label]), ...over, ...wide].map((one) => one.textContent);
      }),
    );
    expect(cut).toEqual([]);
    const pdf = (await page.pdf({ preferCSSPageSize: true, printBackground: true })).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(sheets);
    if (skip > 0) await readBack(page);
    await page.close();
  });

  /** Every code on the page, from its pixels. */
  async function readBack(page: Page): Promise<void> {
    const shots = await page.evaluate(async () => {
      // As text of one sign a byte: a list of numbers takes long on its way out of the browser.
      const read = async (svg: Element): Promise<string> => {
        const image = new Image();
        image.src = `data:image/svg+xml,${encodeURIComponent(new XMLSerializer().serializeToString(svg))}`;
        await image.decode();
        const canvas = new OffscreenCanvas(240, 240);
        const context = canvas.getContext('2d');
        context?.drawImage(image, 0, 0, 240, 240);
        const pixels = context?.getImageData(0, 0, 240, 240).data ?? [];
        return Array.from(pixels, (byte) => String.fromCharCode(byte)).join('');
      };
      const codes: string[] = [];
      for (const svg of document.querySelectorAll('svg.qr')) codes.push(await read(svg));
      return codes;
    });
    expect(shots.map((data) => decode(new Uint8ClampedArray(Buffer.from(data, 'latin1')), 240, 240))).toEqual(
      labels.map((one) => one.name),
    );
  }
});

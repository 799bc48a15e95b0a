/**
 * No name is printed over another, and none is cut off by the edge: boxes of
 * all text of random racks, as Chromium sets it.
 */

import fc from 'fast-check';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { LeanShape } from '../../../compiler/lean/shape.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { DayDemands } from '../../../compiler/timeline/demand.ts';
import { sure } from '../../../shared/assert.ts';
import { civilDay, millimetres } from '../../../shared/units.ts';
import { leanDrawing } from '../../../src/page/lean-drawing.ts';
import { levelScale } from '../../../src/page/level-scale.ts';
import { rackDrawing, shelfFront } from '../../../src/page/rack-drawing.ts';
import { type BagGlow, shelfAbove } from '../../../src/page/shelf-above.ts';
import { weeksDrawing } from '../../../src/page/weeks-drawing.ts';
import { bag, plan, shelf, zone } from '../../compiler/light/rack.ts';
import { type OpenedBrowser, openChromium } from '../../support/chromium.ts';
import { needs } from '../../support/needs.ts';

const name = fc.oneof(
  fc.constantFrom(
    'A',
    'B',
    'W',
    'upper',
    'mushrooms by the window',
    'MMMMMMMMMMMMWWWWWW',
    'Zöñe 7',
    '北の棚',
    'g',
  ),
  fc.string({ minLength: 1, maxLength: 12 }).map((text) => text.trim() || 'x'),
);
const int = (min: number, max: number) => fc.integer({ min, max });

/** A shelf's zones: side by side or one behind the other, of any size. */
const zonesOf = (width: number, depth: number) =>
  fc
    .array(
      fc.record({
        name,
        x: int(0, width - 160),
        w: int(120, 700),
        y: int(0, depth - 130),
        d: int(110, 400),
        across: int(1, 5),
        deep: int(1, 2),
      }),
      { maxLength: 5 },
    )
    .map((all) =>
      all.map((one) => ({
        ...one,
        x: [one.x, Math.min(width, one.x + one.w)] as const,
        y: [one.y, Math.min(depth, one.y + one.d)] as const,
      })),
    );

const racks = fc
  .record({
    width: int(300, 1600),
    depth: int(150, 600),
    clear: int(200, 560),
    sideBySide: fc.boolean(),
    names: fc.array(name, { minLength: 1, maxLength: 4 }),
    tall: int(150, 520),
    footprint: fc.tuple(int(60, 220), int(60, 200)),
  })
  .chain((made) =>
    fc.tuple(fc.constant(made), fc.tuple(...made.names.map(() => zonesOf(made.width, made.depth)))),
  )
  .map(([made, zones]): ResolvedPlan => {
    const { width, depth, clear, sideBySide, names, tall, footprint } = made;
    return plan({
      shelves: names.map((one, n) =>
        shelf(one, sideBySide ? 500 : 300 + n * (clear + 18), width, depth, clear),
      ),
      zones: zones.flatMap((all, n) =>
        all.map((one) => zone(one.name, n, one.x, one.y, one.across, one.deep)),
      ),
      bags: [
        bag({ height: millimetres(tall), footprint: [millimetres(footprint[0]), millimetres(footprint[1])] }),
      ],
    });
  });

/** Light for every bag, so that all figures are printed. Bags that stand in each other are no rack. */
function glowOf({ zones }: ResolvedPlan, some: number): Map<string, BagGlow> {
  const words = [undefined, 'unlit', 'leak', 'low', 'high'];
  return new Map(
    zones.flatMap(({ places }) =>
      places.map((place, n): [string, BagGlow] => [
        place.name,
        {
          ...{ level: [3, 88, 505, 12_345][(n + some) % 4] ?? 0, cells: [], pull: [n, n % 2 ? 500 : -500] },
          ...{ band: [300, 2000], fault: words[(n + some) % words.length] },
        },
      ]),
    ),
  );
}

/** Bags that would stand in one another are taken out: their figures must meet. */
function apart(made: ResolvedPlan): ResolvedPlan {
  const [across, deep] = sure(made.bags[0]).footprint;
  const kept: { shelf: number; x: number; y: number }[] = [];
  return {
    ...made,
    zones: made.zones.map((one, index) => ({
      ...one,
      places: one.places
        .filter(({ x, y }) => {
          const isFree = kept.every(
            (other) =>
              other.shelf !== one.shelf || Math.abs(other.x - x) >= across || Math.abs(other.y - y) >= deep,
          );
          if (isFree) kept.push({ shelf: one.shelf, x, y });
          return isFree;
        })
        .map((place, n) => ({ ...place, name: `${index}-${n}` })),
    })),
  };
}

/** Bags with names of their own in two of three places. */
const bagsOf = ({ zones }: ResolvedPlan, some: number): Map<string, string> =>
  new Map(
    zones.flatMap(({ places }) =>
      places.flatMap((place, n): [string, string][] =>
        (n + some) % 3 === 0
          ? []
          : [[place.name, `${['spring', 'W', 'the-second-of-march'][some % 3]}-${n + 1}`]],
      ),
    ),
  );

/** Some days on which every zone stands in the dark: names of zones and months are all that is printed. */
const daysOf = ({ zones }: ResolvedPlan, first: number, count: number): DayDemands[] =>
  Array.from({ length: count }, (_, n) => ({
    ...{ day: civilDay(first + n), span: [0, 1440] as const, background: [], demands: [] },
    dark: zones.map((_zone, zone) => [zone, 0] as const),
  }));

/** A growth straight up to half of a bag's height. */
function leanShape(height: number): LeanShape {
  const [low, mid, high] = [height / 5, height / 4, height / 3];
  return {
    ...{ day: 30, path: [[0, 0, 0] as const, [20, 10, mid] as const], band: [], height: { low, mid, high } },
    ...{ angle: undefined, drift: undefined, contact: [20, 10, mid] as const, mayTouch: true },
  };
}

/** What is wrong in a picture: pairs of texts that meet, and texts that leave it. */
const FAULTS = `(markup) => {
  document.body.innerHTML = markup;
  const svg = document.querySelector('svg');
  svg.removeAttribute('width');
  svg.style.width = svg.viewBox.baseVal.width + 'px';
  const frame = svg.getBoundingClientRect();
  const texts = [...svg.querySelectorAll('text')].map((one) => [one.textContent, one.getBoundingClientRect()]);
  const found = [];
  texts.forEach(([words, a], n) => {
    if (a.left < frame.left - 1 || a.right > frame.right + 1 || a.top < frame.top - 1 || a.bottom > frame.bottom + 1) found.push('leaves: ' + words);
    for (const [other, b] of texts.slice(n + 1))
      if (a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1) found.push(words + ' meets ' + other);
  });
  return found;
}`;

needs(['chromium'], 'the names in the pictures', () => {
  let browser: OpenedBrowser | undefined;
  beforeAll(async () => {
    browser = await openChromium({ viewport: { width: 2400, height: 1600 } });
  });
  afterAll(async () => browser?.close());

  it('never overprint, on random racks from the front and from above', async () => {
    const page = sure(sure(browser).context.pages()[0]);
    await page.setContent('<body style="margin:0;font-family:Georgia,\'Times New Roman\',serif"></body>');
    const faultsIn = (markup: string): Promise<string[]> =>
      page.evaluate(`(${FAULTS})(${JSON.stringify(markup)})`);
    await fc.assert(
      fc.asyncProperty(racks, int(0, 5), int(20_400, 20_800), async (drawn, some, day) => {
        const made = apart(drawn);
        const standing = made.zones.map(() => 0);
        expect(await faultsIn(rackDrawing(made).text)).toEqual([]);
        for (let index = 0; index < made.shelves.length; index++) {
          expect(await faultsIn(shelfFront(made, index, { standing }).text)).toEqual([]);
          expect(await faultsIn(shelfAbove(made, index, { standing }, glowOf(made, some)).text)).toEqual([]);
          const bags = bagsOf(made, some);
          expect(await faultsIn(shelfAbove(made, index, { standing, bags }).text)).toEqual([]);
        }
        expect(await faultsIn(weeksDrawing(made, daysOf(made, day, 40 + 30 * some), []).text)).toEqual([]);
        const bands = made.zones.map(({ name: one }, n) => ({ name: one, band: [10 * n, 300] as const }));
        expect(await faultsIn(levelScale(bands).text)).toEqual([]);
        const shape = leanShape(sure(made.bags[0]).height);
        expect(await faultsIn(leanDrawing(sure(made.bags[0]), shape, 'zone A', 'lean').text)).toEqual([]);
      }),
      { numRuns: 12, seed: 7 },
    );
  });
});

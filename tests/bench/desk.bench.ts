/**
 * The desk in a real browser: from a key press to findings and pictures that
 * are current, and how often a second a drag shows its new light.
 */

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { compilePlan } from '../../compiler/compile.ts';
import { end, startDesk } from '../src/desk/desk.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { openChromium } from '../support/chromium.ts';
import { median, milliseconds, type Row, row } from './row.ts';

const PRESSES = 15;
const DRAG_MS = 4000;

/** A plan of so many zones, two a shelf with a lamp at either end, staggered by weeks. */
export function largePlan(zones: number): string {
  const shelves = Array.from({ length: zones / 2 }, (_, n) => n);
  const each = Array.from({ length: zones }, (_, n) => n);
  const day = (n: number): string => new Date(Date.UTC(2026, 1, 2 + 7 * (n % 8))).toISOString().slice(0, 10);
  // Eight outputs a board, two a zone.
  const output = (lamp: number): string => `c${Math.floor(lamp / 8)}/${(lamp % 8) + 1}`;
  const strip = (x: number): string =>
    `strip: { from: [${x} mm, 20 mm, 330 mm], to: [${x} mm, 430 mm, 330 mm] }`;
  return [
    'leanward: 1',
    'title: A large store',
    'place: { timezone: Europe/Lisbon }',
    'controllers:',
    ...Array.from(
      { length: Math.ceil(zones / 4) },
      (_, n) => `  c${n}: { board: mega328-relay8, unit: ${n + 1} }`,
    ),
    'shelves:',
    ...shelves.map((n) => `  s${n}: { height: ${100 + 600 * n} mm, size: [1200 mm, 450 mm], clear: 520 mm }`),
    'zones:',
    ...each.map(
      (n) =>
        `  z${n}: { shelf: s${n >> 1}, x: [${n % 2 ? 640 : 60} mm, ${n % 2 ? 1140 : 560} mm], y: [60 mm, 390 mm], bags: [1, 2] }`,
    ),
    'lamps:',
    ...each.flatMap((n) => [
      `  l${n}: { shelf: s${n >> 1}, output: ${output(2 * n)}, ${strip(n % 2 ? 605 : 10)}, facing: right, flux: 480 lm }`,
      `  r${n}: { shelf: s${n >> 1}, output: ${output(2 * n + 1)}, ${strip(n % 2 ? 1190 : 595)}, facing: left, flux: 480 lm }`,
    ]),
    'screens:',
    ...shelves.map((n) => `  m${n}: { shelf: s${n}, x: 600 mm }`),
    'bags:',
    '  tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg }',
    'batches:',
    ...each.map((n) => `  b${n}: { sealed: ${day(n)}, zones: [z${n}] }`),
    '',
  ].join('\n');
}

/** Types into a remark; ms until findings, rack and light are those of the text and the page was drawn. */
const PRESS = `new Promise((resolve) => {
  const view = document.querySelector('.cm-content').cmTile.view;
  const began = performance.now();
  view.dispatch({ changes: { from: view.state.doc.length, insert: '#' }, userEvent: 'input.type' });
  let hasBegun = false;
  const look = () => {
    const isBusy = document.querySelector('.rack-pane').getAttribute('aria-busy') === 'true';
    hasBegun ||= isBusy;
    if (isBusy || !hasBegun) requestAnimationFrame(look);
    else requestAnimationFrame(() => resolve(performance.now() - began));
  };
  requestAnimationFrame(look);
})`;

async function pressTime(page: Page): Promise<number> {
  const times: number[] = [];
  for (let n = 0; n <= PRESSES; n++) times.push(await page.evaluate(PRESS));
  // The first one warms the worker up.
  return median(times.slice(1));
}

/** Pictures a second while a lamp is dragged to and fro. */
async function dragRate(page: Page): Promise<number> {
  const picture = page.locator('.picture').nth(1);
  await picture.scrollIntoViewIfNeeded();
  const lamp = picture.locator('[data-kind=lamp]').first();
  // A picture that is just drawn anew has none for a moment.
  let box = await lamp.boundingBox();
  while (!box) box = await lamp.boundingBox();
  await page.evaluate(`(() => {
    globalThis.pictures = 0;
    new MutationObserver(() => { globalThis.pictures += 1; }).observe(document.querySelectorAll('.picture')[1], { childList: true });
  })()`);
  await page.mouse.move(box.x + 5, box.y + box.height / 2);
  await page.mouse.down();
  const began = performance.now();
  for (let n = 0; performance.now() - began < DRAG_MS; n++)
    await page.mouse.move(box.x + 5 + 40 * Math.abs(Math.sin(n / 12)), box.y + box.height / 2);
  const seconds = (performance.now() - began) / 1000;
  const pictures: number = await page.evaluate('globalThis.pictures');
  await page.keyboard.press('Escape');
  await page.mouse.up();
  return pictures / seconds;
}

export async function rows(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-bench-'));
  const plans = { pantry: samplePlan('pantry'), large: largePlan(50) };
  for (const [name, text] of Object.entries(plans)) writeFileSync(join(folder, `${name}.plan.yaml`), text);
  const alone = (text: string): number => milliseconds(5, () => compilePlan(text, { boards: BOARDS }));
  const [pantryAlone, largeAlone] = [alone(plans.pantry), alone(plans.large)];
  const browser = await openChromium({ viewport: { width: 1400, height: 1000 } });
  try {
    const measure = async <T>(name: string, what: (page: Page) => Promise<T>): Promise<T> => {
      const desk = await startDesk(join(folder, `${name}.plan.yaml`));
      const page = await browser.context.newPage();
      try {
        await page.goto(desk.address);
        await page.locator('.picture').nth(1).locator('[data-kind=lamp]').first().waitFor();
        await page.locator('.rack-pane[aria-busy=false]').waitFor();
        return await what(page);
      } finally {
        await page.close();
        await end(desk.child);
      }
    };
    const pantry = await measure('pantry', pressTime);
    const large = await measure('large', pressTime);
    const rate = await measure('pantry', dragRate);
    return [
      row('pantry: key press → findings and pictures current', pantry, 'ms', { most: 100 }),
      row('pantry: compiled alone, in Node', pantryAlone, 'ms'),
      row('50 zones: key press → findings and pictures current', large, 'ms', { most: 500 }),
      row('50 zones: compiled alone, in Node', largeAlone, 'ms'),
      row('pantry: pictures with new light while a lamp is dragged', rate, '/s', { least: 20 }),
    ];
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

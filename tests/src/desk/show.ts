/**
 * The whole job on the desk, from a plan with a fault to what came of a week:
 * by mouse, by keys, by what is written on the page.
 */

import { readFileSync } from 'node:fs';
import type { Locator, Page } from 'playwright-core';
import { expect } from 'vitest';
import { until } from '../../support/until.ts';
import { boxOf, cursorAfter, fileReads, type PageAtWork, seriousIn, settled, textIn } from './page.ts';

/** Opens a pane; nothing in it is serious for axe. */
export async function pane(page: Page, title: string): Promise<Locator> {
  await page.getByRole('button', { name: title, exact: true }).click();
  return page.locator(`[data-pane=${title.toLowerCase()}]`);
}

/** Types a fault, sees it at its line, and mends it by its quick fix. */
export async function mendFault({ page, path }: PageAtWork): Promise<void> {
  const before = readFileSync(path, 'utf8');
  await cursorAfter(page, 'facing: rig');
  await page.keyboard.press('Backspace');
  await page.keyboard.type('h');
  const finding = page.locator('.finding.error');
  await finding.getByText('value-unknown-word, line 26').waitFor();
  await finding.getByRole('button', { name: 'Write right' }).click();
  await settled(page);
  expect(await textIn(page)).toBe(before);
}

/** Drags a lamp: the figures beside the picture and the text change; saves. */
export async function dragLamp({ page, path }: PageAtWork): Promise<void> {
  const rack = await pane(page, 'Rack');
  const before = await textIn(page);
  const level = rack.locator('section.shelf').first().locator('tbody tr').first().locator('td').nth(1);
  await level.waitFor();
  const levelBefore = await level.textContent();
  const box = await boxOf(rack.locator('.picture').nth(1).locator('[data-name=A-left]'));
  await page.mouse.move(box.x + 6, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + 30, box.y + box.height / 2, { steps: 8 });
  await page.mouse.up();
  await until(async () => (await textIn(page)) !== before && (await level.textContent()) !== levelBefore);
  await settled(page);
  await page.getByRole('button', { name: 'Save' }).click();
  await page.getByText('saved', { exact: true }).waitFor();
  await fileReads(path, await textIn(page));
}

/** Runs the weeks with a power cut, and sees which zone loses light. */
export async function cutPower({ page }: PageAtWork): Promise<void> {
  const weeks = await pane(page, 'Weeks');
  await weeks.getByText('Each zone gets its hours of light on every day.').waitFor();
  await weeks.getByRole('button', { name: /^Let it happen/ }).click();
  const row = weeks.locator('tbody tr').first();
  await row.waitFor();
  expect(await row.locator('th, td').allTextContents()).toEqual(['A', '2026-03-16', '8.0 h', '6.0 h']);
  expect(await seriousIn(page)).toEqual([]);
}

/** Makes a virtual controller whose time begins on a day, and flashes the plan to it. */
export async function flashVirtual({ page }: PageAtWork, onChip: boolean, day: string): Promise<void> {
  const controller = await pane(page, 'Controller');
  await controller.getByLabel('Controller on').selectOption('new');
  if (onChip) await controller.getByLabel('emulated chip').check();
  await controller.getByLabel('Its time begins on').fill(day);
  await controller.getByRole('button', { name: 'Make it' }).click();
  await controller.getByText('This controller was never flashed').waitFor();
  await controller.getByRole('button', { name: 'Flash the plan' }).click();
  await controller.getByText('Put this on the controller?').waitFor();
  await controller.getByRole('button', { name: 'Yes' }).click();
  await controller.getByText('Light each lamp in turn now').waitFor();
  await controller.getByRole('button', { name: 'No', exact: true }).click();
  await controller.getByText('pantry now runs this plan: table number 1').waitFor();
}

/** Lets time pass on the virtual controller; gives what its log then tells. */
export async function letPass({ page }: PageAtWork, time: string): Promise<string> {
  const controller = await pane(page, 'Controller');
  await controller.getByLabel('Time to pass').fill(time);
  await controller.getByRole('button', { name: 'Let it pass' }).click();
  await controller.getByText('records added to pantry.virtual.archive.sqlite').waitFor();
  expect(await seriousIn(page)).toEqual([]);
  return (await controller.getByRole('log').locator('p').allTextContents()).join('\n');
}

/** Answers the first visit of the evening with one press; gives what was answered, such as `look in A`. */
export async function answerVisit({ page }: PageAtWork): Promise<string> {
  const evening = await pane(page, 'Evening');
  const done = evening.getByRole('button', { name: /^Done: / }).first();
  const visit = (await done.getAttribute('aria-label'))?.replace('Done: ', '') ?? '';
  await done.click();
  await evening.getByText(new RegExp(`^${visit} of .*: kept as done in pantry\\.virtual`)).waitFor();
  expect(await seriousIn(page)).toEqual([]);
  return visit;
}

/** Looks at the review; gives what it says. */
export async function seeReview({ page }: PageAtWork): Promise<string> {
  const review = await pane(page, 'Review');
  const sheet = review.locator('.sheet');
  await sheet.getByRole('heading').first().waitFor();
  expect(await seriousIn(page)).toEqual([]);
  return (await sheet.textContent()) ?? '';
}

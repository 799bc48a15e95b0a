/** The bag sheet as a short text for the terminal. */

import { columns } from '../../cli/terminal.ts';
import { lengthWords, massWords, type Units, waterVolume } from './masses.ts';
import type { BagSheet } from './sheet.ts';

/** One row to weigh: what, for one bag, for all of them. */
export function weighingRows(sheet: BagSheet, units: Units): [what: string, one: string, all: string][] {
  const row = (what: string, kg: number): [string, string, string] => [
    what,
    massWords(kg, units),
    massWords(kg * sheet.bags, units),
  ];
  const parts = sheet.parts.map((part) =>
    row(
      `${part.name} (${percent(part.share)} of the dry mass, ${percent(part.moisture)} moist)`,
      part.weighKg,
    ),
  );
  const dry = sheet.parts.length === 0 ? [row('dry parts, bone dry', sheet.dryKg)] : parts;
  const water = Math.max(sheet.waterKg, 0);
  const waterRow: [string, string, string] = [
    'water',
    `${massWords(water, units)} (${waterVolume(water, units)})`,
    `${massWords(water * sheet.bags, units)} (${waterVolume(water * sheet.bags, units)})`,
  ];
  const spawn = sheet.spawnKg === undefined ? [] : [row('spawn, on top', sheet.spawnKg)];
  return [...dry, waterRow, row(`wet mix at ${percent(sheet.moisture)} moisture`, sheet.wetKg), ...spawn];
}

/** Height of the block and what is left above it, in a sentence. */
export function heightWords(sheet: BagSheet, units: Units): string {
  const block = lengthWords(sheet.blockMm, units);
  return `The block stands about ${block} high and leaves ${lengthWords(Math.max(sheet.headspaceMm, 0), units)} for the growth.`;
}

/** The sheet in lines. */
export function sheetText(sheet: BagSheet, units: Units): string {
  const bags = sheet.bags === 1 ? '1 bag' : `${sheet.bags} bags`;
  const sign = { fits: '  ', look: '! ', wrong: '!!' } as const;
  return [
    `${sheet.batch}: ${bags} of ${sheet.bagName}`,
    ...columns([['', 'one bag', 'all bags'], ...weighingRows(sheet, units)]).map((line) => `  ${line}`),
    `  ${heightWords(sheet, units)}`,
    ...sheet.remarks.map((remark) => `  ${sign[remark.kind]} ${remark.text}`),
  ].join('\n');
}

function percent(share: number): string {
  return `${Number((share * 100).toFixed(1))} %`;
}

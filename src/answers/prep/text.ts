/** The bag sheet as a short text for the terminal. */

import {
  massWords,
  roughSize,
  sizeWords,
  temperature,
  type Units,
  waterVolume,
} from '../../../shared/measures.ts';
import { columns } from '../../words/columns.ts';
import { list, READ_MAX, stretches } from '../../words/lists.ts';
import type { SheetPart, SheetWords } from '../book/sealed.ts';
import type { BagSheet } from './sheet.ts';

/** One row to weigh: what, for one bag, for all of them. */
export function weighingRows(sheet: BagSheet, units: Units): [what: string, one: string, all: string][] {
  const all = sheet.bags * (1 + sheet.extra);
  const row = (what: string, kg: number): [string, string, string] => [
    what,
    massWords(kg, units),
    massWords(kg * all, units),
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
    `${massWords(water * all, units)} (${waterVolume(water * all, units)})`,
  ];
  const spawn = sheet.spawnKg === undefined ? [] : [row('spawn, on top', sheet.spawnKg)];
  return [...dry, waterRow, row(`wet mix at ${percent(sheet.moisture)} moisture`, sheet.wetKg), ...spawn];
}

/** Heading of the last column: all bags, and what is mixed on top. */
function allBags(sheet: BagSheet): string {
  return sheet.extra > 0 ? `all bags and ${percent(sheet.extra)} extra` : 'all bags';
}

/** Height of the block, what is left above it, and what the growth may reach. */
function heightWords(sheet: BagSheet, units: Units): string {
  const block = sizeWords(sheet.blockMm, units);
  const free = `The block stands about ${block} high and leaves ${sizeWords(Math.max(sheet.headspaceMm, 0), units)} for the growth.`;
  if (!sheet.reachMm) return free;
  const { low, mid, high } = sheet.reachMm;
  const [least, most] = [low, high].map((mm) => roughSize(mm, units));
  const band = least === most ? '' : `${least} to ${most}; `;
  return `${free} By the first harvest day it may be ${roughSize(mid, units)} high (${band}an estimate from assumed growth).`;
}

/**
 * What is said once below the sheets: sterilising, drying. Common practice, no
 * source; the moisture is that of Codex Stan 39-1981, dried edible fungi (from memory).
 */
export function benchNotes(units: Units): readonly string[] {
  const us = units === 'us';
  const at = us ? '250 °F and 15 psi' : '121 °C and 1 bar above the air';
  const bag = us ? '5 lb' : '2.3 kg';
  return [
    `A mix with bran or hull must be sterilised, not only pasteurised: common practice is ${at} for 2 to 2.5 hours for a ${bag} bag, longer for a large load and at altitude; cool it below ${temperature(27, units)} before the spawn goes in.`,
    "Caution: a pressure steriliser is used by its maker's instructions; never run it dry, leave it alone or open it under pressure. Dry sawdust and hulls make dust: wet them before mixing and wear a mask.",
    `After the harvest: dry in moving air at about ${temperature(50, units)} until a piece snaps, at most 12 % moisture, and store it sealed.`,
  ];
}

/** The sheet in words, as it is printed and as it is kept when its batch is sealed. */
export function sheetWords(sheet: BagSheet, units: Units): SheetWords {
  const bags = sheet.bags === 1 ? '1 bag' : `${sheet.bags} bags`;
  return {
    heading: `${sheet.batch}: ${bags} of ${sheet.bagName}`,
    rows: [['', 'one bag', allBags(sheet)], ...weighingRows(sheet, units)],
    height: heightWords(sheet, units),
    remarks: sheet.remarks.map(({ kind, text }) => ({ kind, text })),
  };
}

/** The sheet in lines. */
export function sheetText({ heading, rows, height, remarks }: SheetWords): string {
  const sign = { fits: '  ', look: '! ', wrong: '!!' } as const;
  return [
    heading,
    ...columns(rows).map((line) => `  ${line}`),
    `  ${height}`,
    ...remarks.map((remark) => `  ${sign[remark.kind]} ${remark.text}`),
  ].join('\n');
}

/** The sheets of batches, each with the steps that the book has; batches of one sheet share it. */
export function partsText(parts: readonly SheetPart[]): string {
  const groups = new Map<string, SheetPart[]>();
  for (const part of parts) {
    const { rows, height, remarks } = part.words;
    const key = JSON.stringify([rows, height, remarks]);
    groups.set(key, [...(groups.get(key) ?? []), part]);
  }
  return [...groups.values()]
    .flatMap(([first, ...more]) => (first ? [sharedText(first, more)] : []))
    .join('\n\n');
}

function sharedText(first: SheetPart, more: readonly SheetPart[]): string {
  const told = ({ steps, kept }: SheetPart, indent: string): string[] =>
    [...steps, ...(kept === undefined ? [] : [kept])].map((line) => `${indent}${line}`);
  if (more.length === 0) return [sheetText(first.words), ...told(first, '  ')].join('\n');
  const heading = 'The same for each of:';
  const each = alikeHeadings([first, ...more].map((part) => ({ ...part.words, told: told(part, '    ') })));
  return [sheetText({ ...first.words, heading }), ...each].join('\n');
}

/** A line a batch and what its book has; of very many a line for those that have the same. */
function alikeHeadings(
  parts: readonly { readonly heading: string; readonly told: readonly string[] }[],
): string[] {
  if (parts.length <= READ_MAX) return parts.flatMap(({ heading, told }) => [`  ${heading}`, ...told]);
  const groups = new Map<string, string[]>();
  for (const { heading, told } of parts) {
    const [name = '', ...rest] = heading.split(': ');
    const key = [rest.join(': '), ...told].join('\n');
    groups.set(key, [...(groups.get(key) ?? []), name]);
  }
  return [...groups].map(([key, names]) => {
    const [what, ...told] = key.split('\n');
    const each = names.length === 1 ? '' : ', each';
    return [`  ${list(stretches(names))}: ${what}${each}`, ...told].join('\n');
  });
}

function percent(share: number): string {
  return `${Number((share * 100).toFixed(1))} %`;
}

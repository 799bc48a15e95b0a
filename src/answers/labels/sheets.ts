/**
 * Sheets of labels: how many across and down, and where each lies.
 *
 * Always holds: millimetres from the sheet's upper left corner; every label lies
 * whole on the sheet.
 */

import { usage } from '../../failure.ts';

/** A sheet of labels. */
export interface LabelSheet {
  readonly paper: readonly [width: number, height: number];
  readonly across: number;
  readonly down: number;
  readonly label: readonly [width: number, height: number];
  /** Upper left corner of the first label. */
  readonly first: readonly [x: number, y: number];
  /** From one label's corner to the next. */
  readonly step: readonly [x: number, y: number];
}

/** ISO 216 and ANSI/ASME Y14.1 (letter), mm. */
const PAPER = { a4: [210, 297], letter: [215.9, 279.4] } as const;

export type Paper = keyof typeof PAPER;

/** Sheets that shops sell everywhere; their measures are from memory: print one on plain paper and hold it behind. */
const COMMON: Readonly<Record<string, LabelSheet>> = {
  'a4-21': sheet('a4', [3, 7], [63.5, 38.1], [7.25, 15.15], [66, 38.1]),
  'a4-24': sheet('a4', [3, 8], [70, 37], [0, 0.5], [70, 37]),
  'a4-65': sheet('a4', [5, 13], [38.1, 21.2], [4.75, 10.7], [40.6, 21.2]),
  'letter-30': sheet('letter', [3, 10], [66.675, 25.4], [4.7625, 12.7], [69.85, 25.4]),
  'letter-10': sheet('letter', [2, 5], [101.6, 50.8], [3.96875, 12.7], [106.3625, 50.8]),
};

/** Names of the common sheets. */
export const SHEET_NAMES = Object.keys(COMMON);

function sheet(
  paper: Paper,
  [across, down]: readonly [number, number],
  label: readonly [number, number],
  first: readonly [number, number],
  step: readonly [number, number],
): LabelSheet {
  return { paper: PAPER[paper], across, down, label, first, step };
}

/** Printers leave a margin that they cannot print on; cut labels stand a little apart, mm. */
const MARGIN_MM = 10;
const GAP_MM = 3;
/** A label smaller than this holds no name and code that can be read. */
const SMALLEST_MM = [30, 15] as const;

/** A common sheet by its name, or `4x6`: so many across and down on plain paper, to be cut. */
export function labelSheet(name: string, paper: Paper): LabelSheet {
  const common = COMMON[name];
  if (common) return common;
  const [, across, down] = (/^(\d{1,2})\s*[x×]\s*(\d{1,2})$/i.exec(name) ?? []).map(Number);
  if (!across || !down) {
    throw usage(
      `'${name}' is no sheet of labels.`,
      `Write one of ${SHEET_NAMES.join(', ')}, or how many across and down: --sheet 3x8.`,
    );
  }
  const [width, height] = PAPER[paper];
  const one = (side: number, count: number): number => (side - 2 * MARGIN_MM - (count - 1) * GAP_MM) / count;
  const label = [one(width, across), one(height, down)] as const;
  if (label[0] < SMALLEST_MM[0] || label[1] < SMALLEST_MM[1]) {
    throw usage(`Labels ${across} across and ${down} down are too small to read.`, 'Take fewer on a sheet.');
  }
  const step = [label[0] + GAP_MM, label[1] + GAP_MM] as const;
  return sheet(paper, [across, down], label, [MARGIN_MM, MARGIN_MM], step);
}

/** Where label `index` lies: its sheet, and its upper left corner. */
export function placeOfLabel(
  { across, down, first, step }: LabelSheet,
  index: number,
): { readonly sheet: number; readonly x: number; readonly y: number } {
  const each = across * down;
  const at = index % each;
  return {
    sheet: Math.floor(index / each),
    x: first[0] + (at % across) * step[0],
    y: first[1] + Math.floor(at / across) * step[1],
  };
}

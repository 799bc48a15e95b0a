/**
 * Sheets of labels as a page to print, each at its true size.
 *
 * Always holds: nothing reaches over its label's edge: letters get smaller, then
 * break into rows; a line that finds no room is left out, and counted.
 */

import { html, type Markup, page } from '../../page/html.ts';
import { qrDrawing } from '../../page/qr-drawing.ts';
import type { BagLabel } from './labels.ts';
import { type LabelSheet, placeOfLabel } from './sheets.ts';

/** White between a label's edge and what is printed, mm: printers are off by as much. */
const PAD_MM = 2;
const NAME_MM = 5.5;
const LINE_MM = 3.2;
/** Smaller letters are not read at arm's length. */
const READABLE_MM = 1.8;
const NAME_ROWS = 3;
const LINE_ROWS = 2;
/** Line height over letter size, and the mean width of a letter over its height in a wide font. */
const LEADING = 1.25;
const LETTER = 0.66;
const BOLD_LETTER = 0.74;
/** What the code may take of a label's width. */
const CODE_SHARE = 0.42;

/** The whole file; `skip` labels of the first sheet are used already. */
export function labelsPage(
  title: string,
  labels: readonly BagLabel[],
  sheet: LabelSheet,
  skip: number,
): string {
  const sheets: Markup[][] = [];
  for (const [i, label] of labels.entries()) {
    const place = placeOfLabel(sheet, i + skip);
    const own = sheets[place.sheet] ?? [];
    sheets[place.sheet] = own;
    own.push(oneLabel(label, sheet, place));
  }
  const body = html`<p class="hint">Print at 100 %, without margins; try one sheet on plain paper first.</p>
${sheets.map((all) => html`<section class="sheet">${all}</section>\n`)}`;
  return page(`Labels: ${title}`, body, style(sheet));
}

/** How many of the labels have no room for all of their lines. */
export function labelsCut(labels: readonly BagLabel[], sheet: LabelSheet): number {
  return labels.filter((label) => layOut(label, sheet).lines.length < label.lines.length).length;
}

interface Line {
  readonly text: string;
  /** Height of its letters, mm. */
  readonly size: number;
  /** Rows that it takes. */
  readonly rows: number;
}

interface LaidOut {
  readonly code: number;
  readonly room: number;
  readonly name: Line;
  readonly lines: readonly Line[];
}

/** What is printed on a label and how large: the name whole, then as many lines as there is room for. */
function layOut({ name, lines }: BagLabel, { label: [width, height] }: LabelSheet): LaidOut {
  const code = Math.min(height - 2 * PAD_MM, width * CODE_SHARE);
  const room = width - code - 3 * PAD_MM;
  const head = fitted(name, room, NAME_MM, NAME_ROWS, BOLD_LETTER);
  let left = height - 2 * PAD_MM - heightOf(head);
  const shown: Line[] = [];
  for (const line of lines.map((text) => fitted(text, room, LINE_MM, LINE_ROWS, LETTER))) {
    if (heightOf(line) > left) break;
    left -= heightOf(line);
    shown.push(line);
  }
  return { code, room, name: head, lines: shown };
}

const heightOf = ({ size, rows }: Line): number => size * rows * LEADING;

/** The largest letters in which a text takes one row; where they would be too small, in more rows. */
function fitted(text: string, room: number, most: number, rowsMost: number, letter: number): Line {
  const whole = letter * Math.max(1, text.length);
  for (let rows = 1; rows <= rowsMost; rows++) {
    // A letter less in each row: rows break between letters.
    const size = Math.min(most, (room * rows) / (whole + letter * (rows - 1)));
    if (size >= READABLE_MM) return { text, size, rows };
  }
  return { text, size: READABLE_MM, rows: Math.ceil((whole * READABLE_MM) / room) + 1 };
}

function oneLabel(
  label: BagLabel,
  sheet: LabelSheet,
  { x, y }: { readonly x: number; readonly y: number },
): Markup {
  const { code, room, name, lines } = layOut(label, sheet);
  return html`<div class="label" style="left:${mm(x)};top:${mm(y)}"><div class="code" style="width:${mm(code)};height:${mm(code)}">${qrDrawing(label.name)}</div><div class="words" style="width:${mm(room)}">${words(name, 'name')}${lines.map((line) => words(line, 'line'))}</div></div>\n`;
}

function words({ text, size }: Line, kind: string): Markup {
  return html`<div class="${kind}" style="font-size:${mm(size)}">${text}</div>`;
}

const mm = (value: number): string => `${Math.round(value * 1000) / 1000}mm`;

function style({ paper: [width, height], label }: LabelSheet): string {
  return `
main { max-width: none; padding: 1rem; }
.sheet { position: relative; width: ${mm(width)}; height: ${mm(height)}; margin: 0 0 1rem; background: #fff; overflow: hidden; border: 1px solid var(--line); }
.label { position: absolute; width: ${mm(label[0])}; height: ${mm(label[1])}; padding: ${PAD_MM}mm; display: flex; gap: ${PAD_MM}mm; align-items: flex-start; font-family: Arial, Helvetica, sans-serif; line-height: ${LEADING}; outline: 0.2mm dotted var(--line); }
.words div { word-break: break-all; }
.name { font-weight: bold; }
.qr { display: block; width: 100%; height: 100%; }
@page { size: ${mm(width)} ${mm(height)}; margin: 0; }
@media print {
  h1, .hint { display: none; }
  main { padding: 0; }
  .sheet { margin: 0; border: 0; break-after: page; break-inside: avoid; }
  .sheet:last-child { break-after: auto; }
  .label { outline: none; }
}
`;
}

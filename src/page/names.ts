/**
 * Where names stand in a drawing, so that none is printed over another.
 *
 * Always holds: a box is at least as large as its text in the serif fonts that
 * pages ask for; what would not fit is cut with `…`, and is told whole by the
 * part's title; a name that finds no free place is given none.
 */

/** A box in the units of the drawing, y down. */
export interface TextBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export type Anchor = 'start' | 'middle' | 'end';

/** A name in its place: `x` by its anchor, `y` its base line. */
export interface PlacedName {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly anchor: Anchor;
}

/** Widths in ems, on the safe side of DejaVu Serif, the widest of the fonts (by its own tables, rounded up). */
const WIDEST = 1.08;
const WIDTHS: readonly (readonly [RegExp, number])[] = [
  [/[iljI.,:;'|!()[\] -]/, 0.48],
  [/[a-zß-öø-ÿ]/, 0.68],
  [/[0-9]/, 0.65],
  [/[A-ZÀ-Þ]/, 0.9],
];

const charWidth = (sign: string): number =>
  /[mwMW@%…—]/.test(sign) ? WIDEST : (WIDTHS.find(([kind]) => kind.test(sign))?.[1] ?? WIDEST);

/** The most a text takes across at a size. */
export function textWidth(text: string, size: number): number {
  let width = 0;
  for (const sign of text) width += charWidth(sign);
  return width * size;
}

/** The text, cut to a width. */
export function cutTo(text: string, width: number, size: number): string {
  if (textWidth(text, size) <= width) return text;
  const signs = [...text];
  while (signs.length > 1 && textWidth(`${signs.join('')}…`, size) > width) signs.pop();
  return `${signs.join('').trimEnd()}…`;
}

/** A size at which the text fits a box, at most `most`. */
export const sizeFor = (text: string, width: number, height: number, most: number): number =>
  Math.min(most, height / LINE, width / Math.max(0.1, textWidth(text, 1)));

/** Height of a line in ems, and how much of it is above the base line. */
const LINE = 1.25;
const RISE = 0.97;

/** The box of a name. */
export function boxOf({ text, x, y, size, anchor }: PlacedName): TextBox {
  const width = textWidth(text, size);
  const left = anchor === 'start' ? x : anchor === 'middle' ? x - width / 2 : x - width;
  return { x: left, y: y - RISE * size, width, height: LINE * size };
}

export const overlap = (a: TextBox, b: TextBox): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

/** The first of some places that is free; it is taken from then on. Undefined where none is. */
export function takePlace(places: readonly PlacedName[], taken: TextBox[]): PlacedName | undefined {
  for (const place of places) {
    const box = boxOf(place);
    if (taken.some((one) => overlap(one, box))) continue;
    taken.push(box);
    return place;
  }
  return undefined;
}

/**
 * Moves a lamp, a screen or a zone in the text of a plan.
 *
 * Always holds: only lengths of that one entry change, each in the unit it was
 * written in; what the entry takes from elsewhere (`like`, a default) is
 * written into it; every other character stays.
 */

import { type Document, isScalar, isSeq } from 'yaml';
import { sure } from '../../shared/assert.ts';
import type { ResolvedLamp, ResolvedPlan, ResolvedScreen, ResolvedZone, Vec3 } from '../plan/plan.ts';
import type { Edit } from '../read/edits.ts';
import { unitOf } from '../read/quantity.ts';
import { lengthText, lengthUnit } from './length-text.ts';
import { documentOf, nodeAt, setValue } from './set-value.ts';

/** What can be moved. */
export interface Movable {
  readonly kind: 'lamp' | 'screen' | 'zone';
  readonly name: string;
}

/** A length or a list of lengths (mm) under a key of the entry; keys of one map are joined by dots. */
type Lengths = readonly [key: string, mm: number | readonly number[]];

const SECTION = { lamp: 'lamps', screen: 'screens', zone: 'zones' } as const;
const AXES = [0, 1, 2] as const;

/**
 * The edits that move an entry by `shift` (mm); none where it does not move that way. Undefined when the entry
 * cannot be changed in its place (it is written behind a `*` mark). `document` is the text parsed, where it is known.
 */
export function moveEntry(
  text: string,
  plan: ResolvedPlan,
  what: Movable,
  shift: Vec3,
  document = documentOf(text),
): Edit[] | undefined {
  const wanted = lengthsOf(plan, what, shift);
  if (!wanted) return undefined;
  const entry = [SECTION[what.kind], what.name];
  const usual = lengthUnit(plan.units);
  const edits = byMap(document, entry, wanted).map(({ path, lengths }) => {
    const value = lengths.length === 1 && lengths[0]?.[0] === '' ? lengths[0][1] : undefined;
    if (value !== undefined) return write(document, text, path, value, usual);
    const parts = lengths.map(([key, mm]) => `${key}: ${lengthsText(mm, usual)}`);
    return setValue(text, path, `{ ${parts.join(', ')} }`, document);
  });
  return edits.every((one) => one !== undefined) ? edits.flat() : undefined;
}

/** Where each length goes: into its own place where that is written, else all of a map's together. */
function byMap(document: Document.Parsed, entry: readonly string[], wanted: readonly Lengths[]) {
  const found: { path: readonly string[]; lengths: Lengths[] }[] = [];
  for (const [key, mm] of wanted) {
    const [map = '', inner] = key.split('.');
    const path = [...entry, map];
    if (inner === undefined) found.push({ path, lengths: [['', mm]] });
    else if (nodeAt(document, path)) found.push({ path: [...path, inner], lengths: [['', mm]] });
    else {
      const known = found.find((one) => one.path.at(-1) === map);
      if (known) known.lengths.push([inner, mm]);
      else found.push({ path, lengths: [[inner, mm]] });
    }
  }
  return found;
}

function lengthsOf(plan: ResolvedPlan, { kind, name }: Movable, shift: Vec3): Lengths[] | undefined {
  const named = <T extends { readonly name: string }>(list: readonly T[]): T | undefined =>
    list.find((one) => one.name === name);
  const lamp = kind === 'lamp' ? named(plan.lamps) : undefined;
  if (lamp) return lamp.beside ? besideLengths(plan, lamp, shift) : lampLengths(lamp, shift);
  const screen = kind === 'screen' ? named(plan.screens) : undefined;
  if (screen) return screenLengths(plan, screen, shift);
  const zone = kind === 'zone' ? named(plan.zones) : undefined;
  return zone && zoneLengths(zone, shift);
}

const moved = (point: Vec3, shift: Vec3): Vec3 => [
  point[0] + shift[0],
  point[1] + shift[1],
  point[2] + shift[2],
];
const moves = (shift: Vec3): boolean => AXES.some((axis) => shift[axis] !== 0);

function lampLengths({ shape }: ResolvedLamp, shift: Vec3): Lengths[] {
  if (!moves(shift)) return [];
  if (shape.kind !== 'strip') return [[`${shape.kind}.at`, moved(shape.at, shift)]];
  return [
    ['strip.from', moved(shape.from, shift)],
    ['strip.to', moved(shape.to, shift)],
  ];
}

/** A lamp beside a zone keeps to its side: it comes nearer or goes away, and up or down. */
function besideLengths(plan: ResolvedPlan, lamp: ResolvedLamp, [x, y, z]: Vec3): Lengths[] {
  const { side, zone } = sure(lamp.beside);
  const { x: zoneX, y: zoneY } = sure(plan.zones[zone]);
  const point = lamp.shape.kind === 'strip' ? lamp.shape.from : lamp.shape.at;
  const gaps = {
    left: [zoneX[0] - point[0], -x],
    right: [point[0] - zoneX[1], x],
    front: [zoneY[0] - point[1], -y],
    back: [point[1] - zoneY[1], y],
    above: [0, 0],
  } as const;
  const [gap, further] = gaps[side];
  const found: Lengths[] = [];
  if (further !== 0) found.push(['gap', Math.max(0, gap + further)]);
  if (z !== 0) found.push(['up', point[2] + z]);
  return found;
}

/** A board across the whole shelf moves along one way only; a smaller one by its corners. */
function screenLengths(plan: ResolvedPlan, screen: ResolvedScreen, shift: Vec3): Lengths[] {
  const { from, to } = screen;
  const shelf = sure(plan.shelves[screen.shelf]);
  const isWhole = (axis: 0 | 1, size: number): boolean =>
    Math.min(from[axis], to[axis]) <= 0 && Math.max(from[axis], to[axis]) >= size;
  const high = Math.abs(to[2] - from[2]) >= shelf.clear;
  if (high && from[0] === to[0] && isWhole(1, shelf.depth))
    return shift[0] === 0 ? [] : [['x', from[0] + shift[0]]];
  if (high && from[1] === to[1] && isWhole(0, shelf.width))
    return shift[1] === 0 ? [] : [['y', from[1] + shift[1]]];
  if (!moves(shift)) return [];
  return [
    ['from', moved(from, shift)],
    ['to', moved(to, shift)],
  ];
}

function zoneLengths({ x, y }: ResolvedZone, shift: Vec3): Lengths[] {
  const found: Lengths[] = [];
  if (shift[0] !== 0) found.push(['x', [x[0] + shift[0], x[1] + shift[0]]]);
  if (shift[1] !== 0) found.push(['y', [y[0] + shift[1], y[1] + shift[1]]]);
  return found;
}

/** Replaces lengths where they stand, each in its own unit; unchanged ones keep their spelling. */
function write(
  document: Document.Parsed,
  text: string,
  path: readonly string[],
  mm: number | readonly number[],
  usual: string,
): Edit[] | undefined {
  const node = nodeAt(document, path);
  if (isSeq(node) && typeof mm !== 'number' && node.items.length === mm.length) {
    const edits = mm.map((one, n) => write(document, text, [...path, String(n)], one, usual));
    return edits.every((one) => one !== undefined) ? edits.flat() : undefined;
  }
  const source = isScalar(node) ? String(node.value) : '';
  const unit = (source !== '' && unitOf(source, 'length')) || usual;
  return setValue(text, path, lengthsText(mm, unit), document);
}

function lengthsText(mm: number | readonly number[], unit: string): string {
  if (typeof mm === 'number') return lengthText(mm, unit);
  return `[${mm.map((one) => lengthText(one, unit)).join(', ')}]`;
}

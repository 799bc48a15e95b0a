/**
 * Light thrown back, evenly in every direction and again and again, by the surfaces
 * round a shelf: its board, the board above, walls or cards at its sides.
 *
 * Always holds: a surface is cut into patches, each shining like a flat Lambertian piece
 * of its share of what falls on it; what patches send each other is followed until
 * nothing that matters is left; no patch sends or gets more than all of its light.
 */

import { itemAt } from '../../shared/assert.ts';
import type { ResolvedShelf, SurfaceSide, Vec3 } from '../plan/plan.ts';
import type { Left } from './film.ts';
import { type InWay, passRay } from './shadow.ts';

/** A small flat piece of a surface; lengths in metres. */
export interface Patch {
  readonly at: Vec3;
  /** Unit vector, the way it shines. */
  readonly normal: Vec3;
  readonly area: number;
  /** Share of light thrown back, 0–1. */
  readonly reflects: number;
}

/** A rectangle by one corner and two edges. */
export interface Surface {
  readonly corner: Vec3;
  readonly along: Vec3;
  readonly across: Vec3;
  readonly normal: Vec3;
  readonly reflects: number;
}

/** Patches along and across a surface. */
const PATCHES = [6, 3] as const;

/** A surface as patches. */
export function patchesOf(surface: Surface, [n, m]: readonly [number, number] = PATCHES): Patch[] {
  const { corner, along, across, normal, reflects } = surface;
  const area = (Math.hypot(...along) * Math.hypot(...across)) / (n * m);
  return Array.from({ length: n * m }, (_, k): Patch => {
    const [a, b] = [((k % n) + 0.5) / n, (Math.floor(k / n) + 0.5) / m];
    const at: Vec3 = [
      corner[0] + a * along[0] + b * across[0],
      corner[1] + a * along[1] + b * across[1],
      corner[2] + a * along[2] + b * across[2],
    ];
    return { at, normal, area, reflects };
  });
}

/** A hair off a board or screen, so that it does not stand before its own side, metres. */
const HAIR = 1e-3;

/** The surfaces round the space of a shelf that throw light back, metres. */
export function surfacesOf(shelf: ResolvedShelf): Surface[] {
  // Asked for every lamp and zone, and most racks have none.
  if (Object.values(shelf.reflects ?? {}).every((share) => share === 0)) return [];
  const [width, depth] = [shelf.width / 1000, shelf.depth / 1000];
  const floor = shelf.height / 1000 + HAIR;
  const tall = shelf.clear / 1000 - 2 * HAIR;
  const flat = { along: [width, 0, 0], across: [0, depth, 0] } as const;
  const sheet = (corner: Vec3, along: Vec3, normal: Vec3) =>
    ({ corner, along, across: [0, 0, tall], normal }) as const;
  const places: Readonly<Record<SurfaceSide, Omit<Surface, 'reflects'>>> = {
    deck: { ...flat, corner: [0, 0, floor], normal: [0, 0, 1] },
    above: { ...flat, corner: [0, 0, floor + tall], normal: [0, 0, -1] },
    back: sheet([0, depth, floor], [width, 0, 0], [0, -1, 0]),
    front: sheet([0, 0, floor], [width, 0, 0], [0, 1, 0]),
    left: sheet([0, 0, floor], [0, depth, 0], [1, 0, 0]),
    right: sheet([width, 0, floor], [0, depth, 0], [-1, 0, 0]),
  };
  return (Object.keys(places) as SurfaceSide[])
    .map((side) => ({ ...places[side], reflects: shelf.reflects?.[side] ?? 0 }))
    .filter(({ reflects }) => reflects > 0);
}

/** Bounces followed: at 80 % each, a seventieth of the light is left after the last. */
const BOUNCES = 20;
/** Bounces end when no patch gets more than this share of what the brightest got at first. */
const ENOUGH = 1e-3;

/** What each patch sends out (lm/m²) for what falls on it straight from the lamps (lx), after all bounces. */
export function exitances(
  patches: readonly Patch[],
  falling: readonly number[],
  seen: readonly Float64Array[],
): Float64Array {
  const throws = (light: ArrayLike<number>): Float64Array =>
    Float64Array.from(patches, ({ reflects }, i) => reflects * itemAt(light, i));
  const sum = throws(falling);
  let latest = sum;
  const enough = ENOUGH * Math.max(...falling);
  for (let bounce = 0; bounce < BOUNCES && Math.max(...latest) > enough; bounce++) {
    const before = latest;
    latest = throws(seen.map((row) => row.reduce((got, share, j) => got + share * itemAt(before, j), 0)));
    for (let i = 0; i < sum.length; i++) sum[i] = itemAt(sum, i) + itemAt(latest, i);
  }
  return sum;
}

/** Most of its view that one patch fills in another: two that meet at a corner are taken as points too close. */
const NEAR = 0.2;

/** For each patch the share of its view that every other patch fills, past what stands between. */
export function viewsBetween(patches: readonly Patch[], inWay: InWay, open: Left): Float64Array[] {
  const rows = patches.map(() => new Float64Array(patches.length));
  for (const [i, a] of patches.entries()) {
    for (let j = 0; j < i; j++) {
      const b = itemAt(patches, j);
      const share = viewShare(a, b);
      if (share === 0) continue;
      const passed = passRay(a.at, b.at, inWay, open).total;
      itemAt(rows, i)[j] = Math.min(share * b.area, NEAR) * passed;
      itemAt(rows, j)[i] = Math.min(share * a.area, NEAR) * passed;
    }
  }
  // Close patches in corners would otherwise give out more than they have.
  for (const row of rows) {
    const sum = row.reduce((total, share) => total + share, 0);
    if (sum > 1) for (let j = 0; j < row.length; j++) row[j] = itemAt(row, j) / sum;
  }
  return rows;
}

/** cos·cos/(π r²): the share of view one patch fills in the other, by the area of the one. */
function viewShare(a: Patch, b: Patch): number {
  const [x, y, z] = [b.at[0] - a.at[0], b.at[1] - a.at[1], b.at[2] - a.at[2]];
  const squared = x * x + y * y + z * z;
  const out = x * a.normal[0] + y * a.normal[1] + z * a.normal[2];
  const back = -(x * b.normal[0] + y * b.normal[1] + z * b.normal[2]);
  return out > 0 && back > 0 ? (out * back) / (Math.PI * squared * squared) : 0;
}

/** Illuminance square to the ray (lx) that a patch of exitance 1 lm/m² gives at a point, and the way toward it. */
export function patchRay(
  p: Vec3,
  { at, normal, area }: Patch,
): { readonly toward: Vec3; readonly normal: number } | undefined {
  const [x, y, z] = [at[0] - p[0], at[1] - p[1], at[2] - p[2]];
  const squared = x * x + y * y + z * z;
  const r = Math.sqrt(squared);
  const cosine = -(x * normal[0] + y * normal[1] + z * normal[2]) / r;
  if (!(cosine > 0)) return undefined;
  return { toward: [x / r, y / r, z / r], normal: (area * cosine) / (Math.PI * squared + area) };
}

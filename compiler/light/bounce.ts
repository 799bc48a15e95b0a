/**
 * Light thrown back once, and evenly in every direction, by boards and by a card behind the rack.
 *
 * Always holds: a surface is cut into patches, each shining like a flat Lambertian
 * panel of its share of what falls on it; what is thrown back a second time is left out.
 */

import type { Vec3 } from '../plan/plan.ts';
import type { Bounce } from './options.ts';
import type { Panel } from './scene.ts';

/** A flat surface, by one corner and two edges; it shines toward `normal` (unit). */
interface Surface {
  readonly corner: Vec3;
  readonly along: Vec3;
  readonly across: Vec3;
  readonly normal: Vec3;
  readonly reflects: number;
}

/** Patches along and across a surface. */
const PATCHES = [10, 6] as const;

/** The surface as shining patches, `irradiance` being what falls on a point of it, lx. */
export function shiningPatches(surface: Surface, irradiance: (at: Vec3) => number): Panel[] {
  const panels: Panel[] = [];
  for (let i = 0; i < PATCHES[0]; i++) {
    for (let j = 0; j < PATCHES[1]; j++) {
      const corner = (a: number, b: number): Vec3 =>
        pointOn(surface, (i + a) / PATCHES[0], (j + b) / PATCHES[1]);
      const exitance = surface.reflects * irradiance(corner(0.5, 0.5));
      if (exitance < 1e-3) continue;
      panels.push({
        corners: [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)],
        axis: surface.normal,
        exitance,
      });
    }
  }
  return panels;
}

function pointOn({ corner, along, across }: Surface, a: number, b: number): Vec3 {
  return [
    corner[0] + a * along[0] + b * across[0],
    corner[1] + a * along[1] + b * across[1],
    corner[2] + a * along[2] + b * across[2],
  ];
}

/** The surfaces round the space of one shelf (metres): its board, the board above, the card behind. */
export function surfacesOf(
  shelf: { width: number; depth: number; floor: number; ceiling: number | undefined; solid: boolean },
  bounce: Bounce,
): Surface[] {
  const { width, depth, floor, ceiling, solid } = shelf;
  const top = ceiling ?? floor + 0.5;
  const flat = { along: [width, 0, 0], across: [0, depth, 0] } as const;
  const surfaces: Surface[] = [];
  if (solid) surfaces.push({ ...flat, corner: [0, 0, floor], normal: [0, 0, 1], reflects: bounce.boards });
  if (ceiling !== undefined) {
    surfaces.push({ ...flat, corner: [0, 0, ceiling], normal: [0, 0, -1], reflects: bounce.boards });
  }
  surfaces.push({
    corner: [0, depth, floor],
    along: [width, 0, 0],
    across: [0, 0, top - floor],
    normal: [0, -1, 0],
    reflects: bounce.card,
  });
  return surfaces.filter(({ reflects }) => reflects > 0);
}
